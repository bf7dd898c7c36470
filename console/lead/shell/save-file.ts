/** Hands a file to the browser, to be saved where it saves files. */
export function saveFile(blob: Blob, name: string): void {
  const url = URL.createObjectURL(blob);
  const link = document.createElement("a");
  link.href = url;
  link.download = name;
  link.click();
  // The browser has taken it by the next turn; the address may go.
  setTimeout(() => URL.revokeObjectURL(url), 10_000);
}
