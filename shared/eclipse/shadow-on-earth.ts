/**
 * Where a line along the shadow's axis meets the ground: from the fundamental plane to latitude
 * and longitude on the WGS84 ellipsoid, or on one similar to it through a given height (within
 * 0.4 % of the height).
 * Source: Explanatory Supplement (1992), §8.3; Bessel's auxiliary latitudes.
 */

import { turn360 } from "./angles.ts";
import { type BesselianElements, EARTH_RADIUS_KM, polynomial } from "./elements.ts";
import { EARTH_TURN_DEG_PER_S, FLATTENING } from "./shadow-at-place.ts";

const RAD = Math.PI / 180;
const AXIS_RATIO = 1 - FLATTENING;
const E2 = FLATTENING * (2 - FLATTENING);

export interface GroundPoint {
  latDeg: number;
  /** −180…180, east positive. */
  lonDeg: number;
}

/** The Earth as the shadow sees it at t hours after t0: a disc flattened along the axis' meridian. */
export class EarthDisc {
  /** Half the disc's height along y, of its half-width along x. */
  readonly halfHeight: number;
  readonly #sinD1: number;
  readonly #cosD1: number;
  readonly #turnDeg: number;
  /** Half-width along x, Earth radii. */
  readonly #size: number;

  constructor(elements: BesselianElements, t: number, deltaTS: number, heightM = 0) {
    this.#size = 1 + heightM / (EARTH_RADIUS_KM * 1000);
    const d = polynomial(elements.dDeg, t) * RAD;
    this.halfHeight = Math.sqrt(1 - E2 * Math.cos(d) ** 2);
    this.#sinD1 = Math.sin(d) / this.halfHeight;
    this.#cosD1 = (AXIS_RATIO * Math.cos(d)) / this.halfHeight;
    this.#turnDeg = polynomial(elements.muDeg, t) - EARTH_TURN_DEG_PER_S * deltaTS;
  }

  /** The ground under (x, y) on the Moon's side; null where the line misses the Earth. */
  under(x: number, y: number): GroundPoint | null {
    const x1 = x / this.#size;
    const y1 = y / (this.#size * this.halfHeight);
    const z2 = 1 - x1 * x1 - y1 * y1;
    return z2 < 0 ? null : this.#ground(x1, y1, Math.sqrt(z2));
  }

  /** How far inside the disc (x, y) is: 1 at its middle, 0 at its edge, negative beside it. */
  inside(x: number, y: number): number {
    return 1 - (x * x + (y / this.halfHeight) ** 2) / this.#size ** 2;
  }

  /** The ground at the disc's edge nearest to (x, y): where the Sun stands on the horizon. */
  edgeNear(xAt: number, yAt: number): { x: number; y: number; ground: GroundPoint } {
    const [x, y] = [xAt / this.#size, yAt / this.#size];
    let angle = Math.atan2(y / this.halfHeight, x);
    // Newton on the distance to the ellipse (cos a, h sin a); nearly a circle, so it settles at once.
    for (let i = 0; i < 6; i++) {
      const [c, s, h] = [Math.cos(angle), Math.sin(angle), this.halfHeight];
      const slope = (x - c) * s - (y - h * s) * h * c;
      const bend = (x - c) * c + s * s + (y - h * s) * h * s + h * h * c * c;
      angle -= slope / bend;
    }
    const [c, s] = [Math.cos(angle), Math.sin(angle)];
    return { x: c * this.#size, y: this.halfHeight * s * this.#size, ground: this.#ground(c, s, 0) };
  }

  #ground(x: number, y1: number, z1: number): GroundPoint {
    const sinLat1 = y1 * this.#cosD1 + z1 * this.#sinD1;
    const toMeridian = z1 * this.#cosD1 - y1 * this.#sinD1;
    const hourAngle = Math.atan2(x, toMeridian) / RAD;
    const lon = turn360(hourAngle - this.#turnDeg + 180) - 180;
    return {
      latDeg: Math.atan2(sinLat1, AXIS_RATIO * Math.hypot(x, toMeridian)) / RAD,
      lonDeg: lon,
    };
  }
}
