/**
 * Besselian elements: one eclipse's shadow, as polynomials in time.
 *
 * Model: Bessel's fundamental plane through the Earth's centre, perpendicular to the axis of the
 * Moon's shadow; x east, y north, z toward the Moon, unit the Earth's equatorial radius (WGS84).
 * `t` is hours of TT since t0. mu is the Greenwich hour angle of the axis as if UT1 were TT; the
 * Earth's true turning is put in by ΔT at a place (shadow-at-place.ts), so that one set of
 * elements serves every ΔT. l2 < 0 where the umbra (not the antumbra) meets the plane.
 * Source: Explanatory Supplement to the Astronomical Almanac (1992), §8.32–8.36.
 */
import type { TtMs } from "../time/time-scales.ts";
import type { EclipseKind } from "./circumstances-types.ts";

export interface BesselianElements {
  /** Date of greatest eclipse in TT, YYYY-MM-DD. */
  id: string;
  kind: EclipseKind;
  /** Zero of the polynomials, ms of TT since 1970. */
  t0TtMs: TtMs;
  /** Greatest eclipse: the axis is nearest the Earth's centre, ms of TT since 1970. */
  greatestTtMs: TtMs;
  /** ΔT of the source in seconds: what its own tables assumed. Not used by the solver. */
  deltaTS: number;
  /** Coefficients in rising powers of t; x, y, l1, l2 in Earth radii, d and mu in degrees. */
  x: readonly number[];
  y: readonly number[];
  dDeg: readonly number[];
  muDeg: readonly number[];
  l1: readonly number[];
  l2: readonly number[];
  tanF1: number;
  tanF2: number;
}

/** The sizes of Moon and Sun that a set of shadow radii stands for. */
export interface DiscSizes {
  /** Moon's radius in Earth radii for the penumbra. */
  kPenumbra: number;
  /** The same for the umbra and antumbra. */
  kUmbra: number;
  /** Sun's radius at 1 au, arcseconds. */
  solarRadiusArcsec: number;
}

/**
 * What every stored set of elements is computed with. k: Five Millennium Canon of Solar Eclipses
 * (NASA/TP-2006-214141), as printed on its element pages. Sun: Auwers 1891, IAU usage.
 */
export const CANON_SIZES: DiscSizes = { kPenumbra: 0.272488, kUmbra: 0.272281, solarRadiusArcsec: 959.63 };

/**
 * The Sun's radius as total and annular eclipses show it, arcseconds at 1 au: what contacts as seen
 * are for. A little larger than the canon's, so that a totality is shorter at both its ends.
 * Light curves and flash spectra: 959.95 ± 0.05 (Quaglia et al. 2021, Astrophysical Journal
 * Supplement 256; arXiv 2107.09416), 959.94 ± 0.02 (Lamy et al. 2015).
 */
export const SUN_OF_ECLIPSES_ARCSEC = 959.95;

/**
 * How far the Sun may be from that, either way, arcseconds: twice the wider of the two stated
 * errors. 959.90 and 960.00 lie well within; timings of beads scatter, and lower rather than higher
 * (one good row wants 959.92: tests/shared/eclipse/seen-contacts.test.ts), so that half the width
 * would be too proud of either method.
 */
export const SUN_OF_ECLIPSES_BOUND_ARCSEC = 0.1;

/** The Earth's equatorial radius, WGS84, km. */
export const EARTH_RADIUS_KM = 6378.137;
/** The astronomical unit, IAU 2012 Resolution B2, km. */
export const AU_KM = 149_597_870.7;

export const MS_PER_HOUR = 3_600_000;

/** Value of a polynomial with coefficients in rising powers. */
export function polynomial(c: readonly number[], t: number): number {
  let sum = 0;
  for (let i = c.length - 1; i >= 0; i--) sum = sum * t + (c[i] as number);
  return sum;
}

/** Derivative of a polynomial with coefficients in rising powers, per unit of t. */
export function polynomialRate(c: readonly number[], t: number): number {
  let sum = 0;
  for (let i = c.length - 1; i >= 1; i--) sum = sum * t + i * (c[i] as number);
  return sum;
}

/** The Sun's radius in Earth radii for an angular radius at 1 au in arcseconds. */
export function solarRadiusEarthRadii(arcsec: number): number {
  return (Math.sin((arcsec / 3600) * (Math.PI / 180)) * AU_KM) / EARTH_RADIUS_KM;
}

/**
 * The same eclipse for other sizes of Moon and Sun. The cone half-angles follow
 * sin f = (s ± k)/G and l = z·tan f ± k·sec f (Explanatory Supplement 8.323), so the Sun–Moon
 * distance G and the Moon's height z above the plane are recovered from the stored elements.
 */
export function withSizes(elements: BesselianElements, to: DiscSizes, from = CANON_SIZES): BesselianElements {
  if (
    to.kPenumbra === from.kPenumbra &&
    to.kUmbra === from.kUmbra &&
    to.solarRadiusArcsec === from.solarRadiusArcsec
  )
    return elements;
  const sFrom = solarRadiusEarthRadii(from.solarRadiusArcsec);
  const sTo = solarRadiusEarthRadii(to.solarRadiusArcsec);
  const penumbra = cone(elements.l1, elements.tanF1, sFrom + from.kPenumbra, sTo + to.kPenumbra, [
    from.kPenumbra,
    to.kPenumbra,
  ]);
  const umbra = cone(elements.l2, elements.tanF2, sFrom - from.kUmbra, sTo - to.kUmbra, [
    -from.kUmbra,
    -to.kUmbra,
  ]);
  return { ...elements, l1: penumbra.l, tanF1: penumbra.tanF, l2: umbra.l, tanF2: umbra.tanF };
}

function cone(l: readonly number[], tanF: number, from: number, to: number, k: readonly [number, number]) {
  const sinTo = (Math.sin(Math.atan(tanF)) * to) / from;
  const cosTo = Math.sqrt(1 - sinTo * sinTo);
  const cosFrom = 1 / Math.sqrt(1 + tanF * tanF);
  const scale = sinTo / cosTo / tanF;
  return {
    tanF: sinTo / cosTo,
    l: l.map((c, i) => (i === 0 ? (c - k[0] / cosFrom) * scale + k[1] / cosTo : c * scale)),
  };
}
