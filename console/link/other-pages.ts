/** Word between the pages of one device: a second code opens a second tab beside the first. */

export interface OtherPages<Word> {
  tell(word: Word): void;
  close(): void;
}

/** `heard` gets what the others tell under this topic. A browser without channels has no others. */
export function otherPages<Word>(topic: string, heard: (word: Word) => void): OtherPages<Word> {
  if (!("BroadcastChannel" in globalThis)) return { tell: () => undefined, close: () => undefined };
  const channel = new BroadcastChannel(`noonfall-${topic}`);
  channel.onmessage = ({ data }) => heard(data as Word);
  return { tell: (word) => channel.postMessage(word), close: () => channel.close() };
}
