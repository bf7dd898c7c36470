/** Signed, in ms or s: "+12 ms", "−1.2 s". */
export function signedMs(ms: number): string {
  const sign = ms < 0 ? "−" : "+";
  const size = Math.abs(ms);
  if (size < 1) return `${sign}${size.toFixed(1)} ms`;
  if (size < 1000) return `${sign}${size.toFixed(0)} ms`;
  return `${sign}${(size / 1000).toFixed(size < 100_000 ? 1 : 0)} s`;
}
