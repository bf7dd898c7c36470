/** Fraction of the Sun's area covered: two discs, the Sun's with radius 1, the Moon's with `ratio`. */
import type { ShadowState } from "./shadow-at-place.ts";

/**
 * Covered fraction of the Sun's area, 0…1, from the discs' ratio of radii and the distance of
 * their centres in solar radii. Source: area of two circles' intersection (plane geometry).
 */
export function coveredArea(ratio: number, separation: number): number {
  if (separation >= 1 + ratio) return 0;
  if (separation <= Math.abs(1 - ratio)) return Math.min(1, ratio * ratio);
  const cosSun = (separation ** 2 + 1 - ratio ** 2) / (2 * separation);
  const cosMoon = (separation ** 2 + ratio ** 2 - 1) / (2 * separation * ratio);
  const sun = Math.acos(Math.max(-1, Math.min(1, cosSun)));
  const moon = Math.acos(Math.max(-1, Math.min(1, cosMoon)));
  const lens = sun - Math.sin(2 * sun) / 2 + ratio ** 2 * (moon - Math.sin(2 * moon) / 2);
  return Math.max(0, Math.min(1, lens / Math.PI));
}

/** The same for a moment of the shadow at a place. */
export function obscurationOf(s: ShadowState): number {
  const sun = (s.l1 + s.l2) / 2;
  return coveredArea((s.l1 - s.l2) / 2 / sun, Math.hypot(s.u, s.v) / sun);
}
