/**
 * Where Sun and Moon are: geocentric vectors on the axes of the ICRF, km.
 *
 * Model: Moon from ELP/MPP02 in full (Chapront & Francou 2003, fitted to DE405), Sun from VSOP87B
 * (Bretagnon & Francou 1988); both series as carried by `astronomia`. Neglected: nothing above
 * 0.001″ but the theories' own errors.
 *
 * Frame: both theories are on nearly the same inertial ecliptic of J2000; ELP's stands to the
 * ICRF by obliquity 84381.4096″ and origin −0.05028″ (Chapront, Chapront-Touzé & Francou 2002).
 * What is left was fitted as a small rotation (x, y, z; z growing with T in centuries) by least
 * squares to the positions of JPL DE431 at the 1374 new moons of 1989–2100. Residuals after it, in
 * longitude and latitude: Moon 0.0020″ and 0.0034″ rms, Sun 0.0029″ and 0.0011″, none above
 * 0.010″; distances within 1 m (Moon) and 1.2 km (Sun) rms.
 */
import moonSeries from "astronomia/data/elpMppDeFull";
import earthSeries from "astronomia/data/vsop87Bearth";
import { AU_KM } from "../../shared/eclipse/elements.ts";

export type Vector = readonly [number, number, number];

const ARCSEC = Math.PI / 648_000;
const OBLIQUITY = 84_381.4096 * ARCSEC;
const ORIGIN = -0.05028 * ARCSEC;
const C_KM_PER_DAY = 299_792.458 * 86_400;
const J2000 = 2_451_545;

/** Fitted rotations, arcseconds: about x, about y, and about z as a polynomial in centuries. */
const MOON_FIT = { x: -0.0001, y: -0.0012, z: [0.0034, 0.0191, -0.0063] } as const;
const SUN_FIT = { x: 0.0001, y: -0.0013, z: [-0.033, 0.0177, 0] } as const;

const MOON = { L: flat(moonSeries.L), B: flat(moonSeries.B), R: flat(moonSeries.R) };
const EARTH = { L: flat(earthSeries.L), B: flat(earthSeries.B), R: flat(earthSeries.R) };

/** Geometric Moon at a Julian day of TDB, km, ICRF axes. */
export function moonAt(jd: number): Vector {
  const T = (jd - J2000) / 36_525;
  const lon = horner(moonSeries.W1, T) + elp(MOON.L, T) * ARCSEC;
  const lat = elp(MOON.B, T) * ARCSEC;
  const r = elp(MOON.R, T);
  const ofDate: Vector = [
    r * Math.cos(lon) * Math.cos(lat),
    r * Math.sin(lon) * Math.cos(lat),
    r * Math.sin(lat),
  ];
  return toIcrf(rotated(toEclipticOfJ2000(ofDate, T), MOON_FIT, T));
}

/** Geometric Sun at a Julian day of TDB, km, ICRF axes. */
export function sunAt(jd: number): Vector {
  const tau = (jd - J2000) / 365_250;
  const lon = vsop(EARTH.L, tau);
  const lat = vsop(EARTH.B, tau);
  const r = -vsop(EARTH.R, tau) * AU_KM;
  const v: Vector = [r * Math.cos(lon) * Math.cos(lat), r * Math.sin(lon) * Math.cos(lat), r * Math.sin(lat)];
  return toIcrf(rotated(v, SUN_FIT, tau * 10));
}

/**
 * Light-time-corrected geocentric places: where a body was, seen from the Earth of then, when the
 * light left. For bodies seen close together this equals light-time plus aberration (the Earth's
 * path bends by 0.001″ of the Sun's distance meanwhile).
 */
export function apparentMoon(jd: number): Vector {
  return moonAt(jd - elp(MOON.R, (jd - J2000) / 36_525) / C_KM_PER_DAY);
}

/** The same for the Sun. */
export function apparentSun(jd: number): Vector {
  return sunAt(jd - (vsop(EARTH.R, (jd - J2000) / 365_250) * AU_KM) / C_KM_PER_DAY);
}

/** ELP's mean ecliptic of date, departure point kept, to the ecliptic of J2000 (Laskar's P and Q). */
function toEclipticOfJ2000([x, y, z]: Vector, T: number): Vector {
  const P = horner([0, 0.10180391e-4, 0.47020439e-6, -0.5417367e-9, -0.2507948e-11, 0.463486e-14], T);
  const Q = horner([0, -0.113469002e-3, 0.12372674e-6, 0.1265417e-8, -0.1371808e-11, -0.320334e-14], T);
  const s = Math.sqrt(1 - P * P - Q * Q);
  return [
    (1 - 2 * P * P) * x + 2 * P * Q * y + 2 * P * s * z,
    2 * P * Q * x + (1 - 2 * Q * Q) * y - 2 * Q * s * z,
    -2 * P * s * x + 2 * Q * s * y + (1 - 2 * P * P - 2 * Q * Q) * z,
  ];
}

function rotated([x, y, z]: Vector, fit: { x: number; y: number; z: readonly number[] }, T: number): Vector {
  const [wx, wy, wz] = [fit.x * ARCSEC, fit.y * ARCSEC, horner(fit.z, T) * ARCSEC];
  return [x + wy * z - wz * y, y + wz * x - wx * z, z + wx * y - wy * x];
}

function toIcrf([x, y, z]: Vector): Vector {
  const [c, s] = [Math.cos(OBLIQUITY), Math.sin(OBLIQUITY)];
  const [ye, ze] = [c * y - s * z, s * y + c * z];
  const [co, so] = [Math.cos(ORIGIN), Math.sin(ORIGIN)];
  return [co * x - so * ye, so * x + co * ye, ze];
}

/** Sum of A·sin(phase) per power of T; a term holds its amplitude and five phase coefficients. */
function elp(powers: readonly Float64Array[], T: number): number {
  return powers.reduceRight((total, terms) => {
    let sum = 0;
    for (let i = 0; i < terms.length; i += 6) {
      const [p0, p1, p2] = [terms[i + 1] as number, terms[i + 2] as number, terms[i + 3] as number];
      const [p3, p4] = [terms[i + 4] as number, terms[i + 5] as number];
      sum += (terms[i] as number) * Math.sin(p0 + T * (p1 + T * (p2 + T * (p3 + T * p4))));
    }
    return total * T + sum;
  }, 0);
}

/** Sum of A·cos(B + Cτ) per power of τ. */
function vsop(powers: readonly Float64Array[], tau: number): number {
  return powers.reduceRight((total, terms) => {
    let sum = 0;
    for (let i = 0; i < terms.length; i += 3)
      sum += (terms[i] as number) * Math.cos((terms[i + 1] as number) + (terms[i + 2] as number) * tau);
    return total * tau + sum;
  }, 0);
}

/** Terms laid flat by power, smallest first so that rounding stays small. */
function flat(series: Record<string, number[][]>): Float64Array[] {
  return Object.keys(series)
    .sort()
    .map((power) => Float64Array.from((series[power] ?? []).toReversed().flat()));
}

function horner(c: readonly number[], t: number): number {
  return c.reduceRight((sum, v) => sum * t + v, 0);
}
