/** Going over the ground: where so many kilometres in a direction lead. */
import type { GroundPoint } from "./shadow-on-earth.ts";

const RAD = Math.PI / 180;
/** WGS84, km. */
const POLAR_RADIUS_KM = 6356.752;
const EQUATORIAL_RADIUS_KM = 6378.137;

/**
 * The point reached by going so many km along a great circle in a direction, degrees from north
 * through east, on the sphere that fits the ellipsoid there.
 */
export function going(from: GroundPoint, bearing: number, km: number): GroundPoint {
  const arc = km / fittingRadiusKm(from.latDeg);
  const [p, b] = [from.latDeg * RAD, bearing * RAD];
  const sinLat = Math.sin(p) * Math.cos(arc) + Math.cos(p) * Math.sin(arc) * Math.cos(b);
  // In this form it holds at the poles, too.
  const l = Math.atan2(
    Math.sin(b) * Math.sin(arc),
    Math.cos(p) * Math.cos(arc) - Math.sin(p) * Math.sin(arc) * Math.cos(b),
  );
  const lon = from.lonDeg + l / RAD;
  return {
    latDeg: Math.asin(Math.max(-1, Math.min(1, sinLat))) / RAD,
    lonDeg: ((((lon + 180) % 360) + 360) % 360) - 180,
  };
}

/** The ellipsoid's radii of curvature along the meridian and across it at a latitude in radians. */
export function radiiKm(latRad: number): { meridianKm: number; normalKm: number } {
  const e2 = 1 - (POLAR_RADIUS_KM / EQUATORIAL_RADIUS_KM) ** 2;
  const w = 1 - e2 * Math.sin(latRad) ** 2;
  return {
    meridianKm: (EQUATORIAL_RADIUS_KM * (1 - e2)) / w ** 1.5,
    normalKm: EQUATORIAL_RADIUS_KM / Math.sqrt(w),
  };
}

/** Radius of the sphere that fits the ellipsoid at a latitude in degrees. */
export function fittingRadiusKm(latDeg: number): number {
  const { meridianKm, normalKm } = radiiKm(latDeg * RAD);
  return Math.sqrt(meridianKm * normalKm);
}
