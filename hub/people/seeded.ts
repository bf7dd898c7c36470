/** Random numbers that are the same at every run (mulberry32, public domain, seeded by a text). */
export function seeded(text: string): () => number {
  let state = 0x811c9dc5;
  for (const char of text) state = Math.imul(state ^ (char.codePointAt(0) ?? 0), 0x01000193);
  return () => {
    state = (state + 0x6d2b79f5) | 0;
    let mixed = Math.imul(state ^ (state >>> 15), 1 | state);
    mixed = (mixed + Math.imul(mixed ^ (mixed >>> 7), 61 | mixed)) ^ mixed;
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 4_294_967_296;
  };
}
