/**
 * The shadow seen from one place: Moon's axis, cone radii and Sun direction at any moment.
 *
 * Model: rigid Earth of WGS84 shape turning with ΔT; polar motion (≤ 10 m) neglected. Refraction
 * does not move contacts. The Sun's direction is the shadow axis': within 6″ of the true one.
 * Source: Explanatory Supplement (1992), §8.36.
 */
import type { Place } from "./circumstances-types.ts";
import { type BesselianElements, EARTH_RADIUS_KM, polynomial, polynomialRate } from "./elements.ts";

const RAD = Math.PI / 180;
/** WGS84 flattening. */
export const FLATTENING = 1 / 298.257223563;
/** The Earth's turning against the stars, degrees per second of UT1 (IAU 2000 earth rotation angle). */
export const EARTH_TURN_DEG_PER_S = (360 * 1.0027378119113546) / 86_400;

/** A place's geocentric coordinates, in Earth radii, and its directions. */
export interface Observer {
  rhoSin: number;
  rhoCos: number;
  sinLat: number;
  cosLat: number;
  lonDeg: number;
}

export function observerAt(place: Place): Observer {
  const sinLat = Math.sin(place.latDeg * RAD);
  const cosLat = Math.abs(place.latDeg) === 90 ? 0 : Math.cos(place.latDeg * RAD);
  const e2 = FLATTENING * (2 - FLATTENING);
  const n = 1 / Math.sqrt(1 - e2 * sinLat * sinLat);
  const h = place.heightM / (EARTH_RADIUS_KM * 1000);
  return {
    rhoSin: (n * (1 - e2) + h) * sinLat,
    rhoCos: (n + h) * cosLat,
    sinLat,
    cosLat,
    lonDeg: place.lonDeg,
  };
}

/** The shadow at one moment, relative to the place; lengths in Earth radii, rates per hour. */
export interface ShadowState {
  /** Axis minus place: east and north on the fundamental plane. */
  u: number;
  v: number;
  uRate: number;
  vRate: number;
  /** Radii of penumbra and umbra in the place's plane; L2 < 0 inside the umbra's cone (total). */
  l1: number;
  l2: number;
  l1Rate: number;
  l2Rate: number;
  /** Height of the place above the fundamental plane: > 0 on the Moon's side. */
  zeta: number;
  /** Local hour angle and declination of the Sun, radians. */
  hourAngleRad: number;
  sinDec: number;
  cosDec: number;
}

/** One eclipse over one place: evaluates the shadow's state at t hours after t0. */
export class ShadowAtPlace {
  readonly elements: BesselianElements;
  readonly observer: Observer;
  readonly deltaTS: number;
  readonly #turnDeg: number;

  constructor(elements: BesselianElements, observer: Observer, deltaTS: number) {
    this.elements = elements;
    this.observer = observer;
    this.deltaTS = deltaTS;
    this.#turnDeg = observer.lonDeg - EARTH_TURN_DEG_PER_S * deltaTS;
  }

  at(t: number): ShadowState {
    const e = this.elements;
    const o = this.observer;
    const d = polynomial(e.dDeg, t) * RAD;
    const dRate = polynomialRate(e.dDeg, t) * RAD;
    const hourAngleRad = (polynomial(e.muDeg, t) + this.#turnDeg) * RAD;
    const turn = polynomialRate(e.muDeg, t) * RAD;
    const sinDec = Math.sin(d);
    const cosDec = Math.cos(d);
    const sinH = Math.sin(hourAngleRad);
    const cosH = Math.cos(hourAngleRad);
    const xi = o.rhoCos * sinH;
    const eta = o.rhoSin * cosDec - o.rhoCos * cosH * sinDec;
    const zeta = o.rhoSin * sinDec + o.rhoCos * cosH * cosDec;
    const xiRate = turn * o.rhoCos * cosH;
    const etaRate = turn * xi * sinDec - zeta * dRate;
    const zetaRate = -turn * xi * cosDec + eta * dRate;
    return {
      u: polynomial(e.x, t) - xi,
      v: polynomial(e.y, t) - eta,
      uRate: polynomialRate(e.x, t) - xiRate,
      vRate: polynomialRate(e.y, t) - etaRate,
      l1: polynomial(e.l1, t) - zeta * e.tanF1,
      l2: polynomial(e.l2, t) - zeta * e.tanF2,
      l1Rate: polynomialRate(e.l1, t) - zetaRate * e.tanF1,
      l2Rate: polynomialRate(e.l2, t) - zetaRate * e.tanF2,
      zeta,
      hourAngleRad,
      sinDec,
      cosDec,
    };
  }
}

/** Where the Sun stands for a state: altitude without refraction, azimuth 0…360 from north, degrees. */
export function sunInSky(o: Observer, s: ShadowState): { altitudeDeg: number; azimuthDeg: number } {
  const cosH = Math.cos(s.hourAngleRad);
  const sinAlt = o.sinLat * s.sinDec + o.cosLat * s.cosDec * cosH;
  const east = -s.cosDec * Math.sin(s.hourAngleRad);
  const north = s.sinDec * o.cosLat - s.cosDec * cosH * o.sinLat;
  return {
    altitudeDeg: Math.atan2(sinAlt, Math.hypot(east, north)) / RAD,
    azimuthDeg: turn360(Math.atan2(east, north) / RAD),
  };
}

/** Angle at the Sun from celestial north to the zenith, degrees, positive toward the east. */
export function parallacticAngleDeg(o: Observer, s: ShadowState): number {
  return (
    Math.atan2(
      o.cosLat * Math.sin(s.hourAngleRad),
      o.sinLat * s.cosDec - o.cosLat * s.sinDec * Math.cos(s.hourAngleRad),
    ) / RAD
  );
}

/** An angle brought into 0 ≤ a < 360 degrees. */
export function turn360(deg: number): number {
  const a = deg % 360;
  return a < 0 ? (a + 360 === 360 ? 0 : a + 360) : a;
}
