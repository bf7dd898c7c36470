/** "19 s", "4 min", "2 h 05 min": short enough for a row. */
export function shortLength(ms: number): string {
  const s = Math.max(0, Math.floor(ms / 1000));
  if (s < 100) return `${s} s`;
  const min = Math.floor(s / 60);
  if (min < 100) return `${min} min`;
  return `${Math.floor(min / 60)} h ${String(min % 60).padStart(2, "0")} min`;
}
