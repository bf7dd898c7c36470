/** The text of an answer that may have no end: read piece by piece, and left where it is more than it can be. */

/** Undefined, with the connection given up, where more than `mostBytes` come. Rejects as the answer does. */
export async function textUpTo(answer: Response, mostBytes: number): Promise<string | undefined> {
  const reader = answer.body?.getReader();
  if (!reader) return "";
  const decoder = new TextDecoder();
  let text = "";
  let bytes = 0;
  for (;;) {
    const { done, value } = await reader.read();
    if (done) return text + decoder.decode();
    bytes += value.byteLength;
    if (bytes > mostBytes) {
      void reader.cancel().catch(() => undefined);
      return undefined;
    }
    text += decoder.decode(value, { stream: true });
  }
}
