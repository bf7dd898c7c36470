/** "0:19", "4:07", "2 h 05 min": one way to write a length wherever a row says one. */
export function shortLength(ms: number): string {
  const s = Math.max(0, Math.floor(ms / 1000));
  const min = Math.floor(s / 60);
  if (min < 100) return `${min}:${String(s % 60).padStart(2, "0")}`;
  return `${Math.floor(min / 60)} h ${String(min % 60).padStart(2, "0")} min`;
}
