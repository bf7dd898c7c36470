/** Files handed to the browser, to be saved where it saves files. */
import type { HubApi, Problem } from "./hub-api.ts";

export function saveFile(blob: Blob, name: string): void {
  const url = URL.createObjectURL(blob);
  const link = document.createElement("a");
  link.href = url;
  link.download = name;
  link.click();
  // The browser has taken it by the next turn; the address may go.
  setTimeout(() => URL.revokeObjectURL(url), 10_000);
}

/** The same with a file of the hub's, by the name it gives it. What went wrong, or null. */
export async function saveFromHub(api: HubApi, path: string): Promise<Problem | null> {
  const answer = await api.file(path);
  if (!answer.ok) return answer.problem;
  saveFile(answer.value.blob, answer.value.name);
  return null;
}
