/** The median of some numbers; NaN of none. */
export function middleOf(numbers: readonly number[]): number {
  const sorted = [...numbers].sort((a, b) => a - b);
  const half = Math.floor(sorted.length / 2);
  const [below, above] = [sorted[half - 1], sorted[half]];
  if (above === undefined) return Number.NaN;
  return sorted.length % 2 === 1 || below === undefined ? above : (below + above) / 2;
}
