/**
 * Where the Sun stands at any time and place, without an eclipse's elements: for "is the Sun up
 * now". Good to 0.015° for UT1 over 1990–2100.
 *
 * Model: Keplerian Sun, apparent place of date, sidereal time by polynomial; no parallax (0.0024°).
 * UTC is taken for UT1: 0.004° while leap seconds keep them within 0.9 s.
 * Source: Meeus, Astronomical Algorithms (1998), ch. 25 and (12.4).
 * Refraction: Sæmundsson's formula, Meeus (16.4), at 1010 hPa and 10 °C; good to 0.1′ above 5°,
 * several arcminutes at the horizon, where the air decides.
 */
import type { UtcMs } from "../time/instants.ts";
import { turn360 } from "./angles.ts";

const RAD = Math.PI / 180;
/** Refraction at the horizon, 34′, and the Sun's radius, 16′: the usual definition of sunrise. */
const HORIZON_REFRACTION_DEG = 34 / 60;
export const SUN_RADIUS_DEG = 16 / 60;
/** Altitude of the Sun's centre, without refraction, at sunrise and sunset. */
export const RISEN_ALTITUDE_DEG = -(HORIZON_REFRACTION_DEG + SUN_RADIUS_DEG);

interface SunPosition {
  /** Of the centre, without refraction, degrees. */
  altitudeDeg: number;
  /** From north through east, 0…360. */
  azimuthDeg: number;
  /** Whether the upper limb is above the sea horizon as seen from the height, refraction included. */
  up: boolean;
}

/**
 * How far the sea horizon lies below the horizontal, degrees: 1.76′ √(height in metres), refraction
 * included (the formula of nautical almanacs, from memory). A hill that stands higher hides more.
 */
export function dipDeg(heightM: number): number {
  return (1.76 / 60) * Math.sqrt(Math.max(0, heightM));
}

/** The Sun at a UTC instant; latitude −90…90°, longitude east positive, height above the sea in metres. */
export function sunAt(
  at: UtcMs,
  place: { latDeg: number; lonDeg: number; heightM?: number | undefined },
): SunPosition {
  const days = at / 86_400_000 - 10_957.5;
  const T = days / 36_525;
  const meanLonDeg = 280.46646 + T * (36_000.76983 + T * 0.0003032);
  const anomaly = anomalyRad(T);
  const centreDeg =
    (1.914602 - T * (0.004817 + T * 0.000014)) * Math.sin(anomaly) +
    (0.019993 - T * 0.000101) * Math.sin(2 * anomaly) +
    0.000289 * Math.sin(3 * anomaly);
  const node = (125.04 - 1934.136 * T) * RAD;
  const lon = (meanLonDeg + centreDeg - 0.00569 - 0.00478 * Math.sin(node)) * RAD;
  const obliquity = (23.4392911 - 0.0130042 * T + 0.00256 * Math.cos(node)) * RAD;
  const sinDec = Math.sin(obliquity) * Math.sin(lon);
  const cosDec = Math.sqrt(1 - sinDec * sinDec);
  const ra = Math.atan2(Math.cos(obliquity) * Math.sin(lon), Math.cos(lon));
  const siderealDeg =
    280.46061837 +
    360.98564736629 * days +
    0.000387933 * T * T -
    0.00478 * Math.sin(node) * Math.cos(obliquity);
  const hourAngle = (turn360(siderealDeg + place.lonDeg) * RAD - ra) % (2 * Math.PI);
  const lat = place.latDeg * RAD;
  const up = Math.sin(lat) * sinDec + Math.cos(lat) * cosDec * Math.cos(hourAngle);
  const east = -cosDec * Math.sin(hourAngle);
  const north = sinDec * Math.cos(lat) - cosDec * Math.cos(hourAngle) * Math.sin(lat);
  const altitudeDeg = Math.atan2(up, Math.hypot(east, north)) / RAD;
  return {
    altitudeDeg,
    azimuthDeg: turn360(Math.atan2(east, north) / RAD),
    up: altitudeDeg > RISEN_ALTITUDE_DEG - dipDeg(place.heightM ?? 0),
  };
}

/** How much the air lifts an object at a true altitude, degrees; 0 below −2°. Meeus (16.4). */
export function refractionDeg(altitudeDeg: number): number {
  if (altitudeDeg < -2) return 0;
  const arcmin = 1.02 / Math.tan((altitudeDeg + 10.3 / (altitudeDeg + 5.11)) * RAD);
  return Math.max(0, arcmin + 0.0019279) / 60;
}

/** Julian centuries since J2000. */
function centuries(at: number): number {
  return (at / 86_400_000 - 10_957.5) / 36_525;
}

/** Mean anomaly of the Sun, rad, at so many centuries. */
function anomalyRad(T: number): number {
  return (357.52911 + T * (35_999.05029 - T * 0.0001537)) * RAD;
}

/**
 * Apparent radius of the Sun, arcseconds, with the canon's 959.63″ at 1 au; good to 0.02″.
 * Distance: low-precision formula of the Astronomical Almanac (from memory).
 */
export function sunRadiusArcsec(at: UtcMs | number): number {
  const g = anomalyRad(centuries(at));
  return 959.63 / (1.00014 - 0.01671 * Math.cos(g) - 0.00014 * Math.cos(2 * g));
}

/** Apparent declination of the Sun, degrees, good to 0.02°: from its place at the pole's horizon. */
export function sunDeclinationDeg(at: UtcMs | number): number {
  return sunAt(at as UtcMs, { latDeg: 90, lonDeg: 0 }).altitudeDeg;
}
