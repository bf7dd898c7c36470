/** Metres as kilometres for a sentence: whole ones, with tenths below ten. */
export function kmText(metres: number): string {
  const km = metres / 1000;
  return km < 9.95 ? km.toFixed(1) : String(Math.round(km));
}
