/** Angles in degrees. */
/** An angle brought into 0 ≤ a < 360 degrees. */
export function turn360(deg: number): number {
  const a = deg % 360;
  return a < 0 ? (a + 360 === 360 ? 0 : a + 360) : a;
}
