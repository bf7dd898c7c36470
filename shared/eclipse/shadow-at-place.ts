/**
 * The shadow seen from one place: Moon's axis, cone radii and Sun direction at any moment.
 *
 * Model: rigid Earth of WGS84 shape turning with ΔT; polar motion (≤ 10 m) neglected. Refraction
 * does not move contacts. The Sun's direction is the shadow axis': within 6″ of the true one.
 * Source: Explanatory Supplement (1992), §8.36.
 */
import { turn360 } from "./angles.ts";
import type { Place } from "./circumstances-types.ts";
import { type BesselianElements, EARTH_RADIUS_KM } from "./elements.ts";

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

interface SunDirection {
  /** Local hour angle, radians, and declination of the Sun. */
  hourAngleRad: number;
  sinDec: number;
  cosDec: number;
}

/** The shadow at one moment, relative to the place; lengths in Earth radii, rates per hour. */
export interface ShadowState extends SunDirection {
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
    const d = evaluate(e.dDeg, t) * RAD;
    const dRate = rate * RAD;
    const hourAngleRad = (evaluate(e.muDeg, t) + this.#turnDeg) * RAD;
    const turn = rate * RAD;
    const sinDec = Math.sin(d);
    const cosDec = Math.cos(d);
    const cosH = Math.cos(hourAngleRad);
    const xi = o.rhoCos * Math.sin(hourAngleRad);
    const eta = o.rhoSin * cosDec - o.rhoCos * cosH * sinDec;
    const zeta = o.rhoSin * sinDec + o.rhoCos * cosH * cosDec;
    const zetaRate = -turn * xi * cosDec + eta * dRate;
    const u = evaluate(e.x, t) - xi;
    const uRate = rate - turn * o.rhoCos * cosH;
    const v = evaluate(e.y, t) - eta;
    const vRate = rate - (turn * xi * sinDec - zeta * dRate);
    const l1 = evaluate(e.l1, t) - zeta * e.tanF1;
    const l1Rate = rate - zetaRate * e.tanF1;
    const l2 = evaluate(e.l2, t) - zeta * e.tanF2;
    const l2Rate = rate - zetaRate * e.tanF2;
    return { u, v, uRate, vRate, l1, l2, l1Rate, l2Rate, zeta, hourAngleRad, sinDec, cosDec };
  }

  /** The Sun's direction alone, cheaper than `at`. */
  sunAt(t: number): SunDirection {
    const d = evaluate(this.elements.dDeg, t) * RAD;
    const hourAngleRad = (evaluate(this.elements.muDeg, t) + this.#turnDeg) * RAD;
    return { hourAngleRad, sinDec: Math.sin(d), cosDec: Math.cos(d) };
  }
}

/** Rate of the polynomial last evaluated: one pass gives both, and no object is made for it. */
let rate = 0;

function evaluate(c: readonly number[], t: number): number {
  let value = 0;
  rate = 0;
  for (let i = c.length - 1; i >= 0; i--) {
    rate = rate * t + value;
    value = value * t + (c[i] as number);
  }
  return value;
}

/** Where the Sun stands for a state: altitude without refraction, azimuth 0…360 from north, degrees. */
export function sunInSky(o: Observer, s: SunDirection): { altitudeDeg: number; azimuthDeg: number } {
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
export function parallacticAngleDeg(o: Observer, s: SunDirection): number {
  return (
    Math.atan2(
      o.cosLat * Math.sin(s.hourAngleRad),
      o.sinLat * s.cosDec - o.cosLat * s.sinDec * Math.cos(s.hourAngleRad),
    ) / RAD
  );
}
