/** The text of an answer that is fetched; undefined where it is longer than so many bytes. */
export async function boundedText(answer: Response, mostBytes: number): Promise<string | undefined> {
  const parts: Uint8Array[] = [];
  let bytes = 0;
  for await (const part of answer.body ?? []) {
    bytes += part.byteLength;
    if (bytes > mostBytes) return undefined;
    parts.push(part);
  }
  return Buffer.concat(parts).toString("utf8");
}
