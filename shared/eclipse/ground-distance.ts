/**
 * Distances along the ground, on the WGS84 ellipsoid: arcs on the sphere that fits it at the first
 * point, within 0.1 % for a few hundred kilometres; near by, the ellipsoid's own radii. Apart from
 * the path's geometry, so that a phone's page can measure without carrying it.
 */
import { fittingRadiusKm, radiiKm } from "./going.ts";
import type { GroundPoint } from "./shadow-on-earth.ts";

const RAD = Math.PI / 180;

/** Kilometres along the ground between two points. */
export function groundKm(a: GroundPoint, b: GroundPoint): number {
  const R = fittingRadiusKm(a.latDeg);
  const [p, q] = [a.latDeg * RAD, b.latDeg * RAD];
  const h =
    Math.sin((q - p) / 2) ** 2 + Math.cos(p) * Math.cos(q) * Math.sin(((b.lonDeg - a.lonDeg) * RAD) / 2) ** 2;
  const sphere = 2 * Math.asin(Math.min(1, Math.sqrt(h)));
  if (sphere > 0.2) return R * sphere;
  // Near by: north–south and east–west parts with the ellipsoid's own radii.
  const middle = (p + q) / 2;
  const { meridianKm, normalKm } = radiiKm(middle);
  const north = meridianKm * (q - p);
  const dLon = ((((b.lonDeg - a.lonDeg) % 360) + 540) % 360) - 180;
  const flat = Math.hypot(north, normalKm * Math.cos(middle) * dLon * RAD);
  // Close to a pole the plane chart breaks down; the sphere does not.
  return Math.abs(middle) > 1.4 ? R * sphere : flat;
}
