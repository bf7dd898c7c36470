/**
 * The track of totality or annularity over the ground: central line, northern and southern limits,
 * with duration, width and the Sun's place along it. Smooth Moon, canon's Sun; sea level unless a height is given
 * (with a low Sun a kilometre of height shifts the path by several).
 *
 * A limit at an instant is where the umbra's edge and its motion touch: m = |L2| and the gap's rate
 * is nil, solved for the angle on the shadow and improved until the ground point stands still.
 * "North" is the side of +y on the fundamental plane, left of the shadow's motion.
 * Source: Explanatory Supplement (1992), §8.35; width from its 8.3624 (from memory).
 */
import type { UtcMs } from "../time/instants.ts";
import { type CircumstancesOptions, shadowAt, utcAt } from "./circumstances.ts";
import { contactHours } from "./contacts.ts";
import { type BesselianElements, EARTH_RADIUS_KM, polynomial } from "./elements.ts";
import { zeroBetween } from "./roots.ts";
import { observerAt, ShadowAtPlace, type ShadowState, sunInSky } from "./shadow-at-place.ts";
import { EarthDisc, type GroundPoint } from "./shadow-on-earth.ts";

interface PathPoint extends GroundPoint {
  utcMs: UtcMs;
  kind: "total" | "annular";
  durationS: number;
  /** Across the path, km. */
  widthKm: number;
  ratio: number;
  sunAltitudeDeg: number;
  sunAzimuthDeg: number;
}

interface LimitPoint extends GroundPoint {
  utcMs: UtcMs;
}

interface CentralPath {
  eclipse: string;
  deltaTS: number;
  /** In order of time; empty where the axis misses the Earth (partial and grazing eclipses). */
  centre: PathPoint[];
  /** In order of time; a limit that falls beside the Earth is shorter or empty. */
  north: LimitPoint[];
  south: LimitPoint[];
}

export type PathOptions = Pick<CircumstancesOptions, "deltaTS" | "kUmbra" | "kPenumbra"> & {
  /** How many instants along the path, 3…2000; 240 by default, closer together at its ends. */
  points?: number;
  /** The ground's height for the whole path, metres; 0 by default. */
  heightM?: number;
};

type Side = 1 | -1;
/** The umbra touches the Earth for so long before and after the axis does, hours (grazing included). */
export const MARGIN_H = 0.12;

export function centralPath(elements: BesselianElements, options: PathOptions = {}): CentralPath {
  const points = options.points ?? 240;
  if (!(points >= 3 && points <= 2000)) throw new RangeError(`points must be 3…2000: ${points}`);
  const geometry = new PathGeometry(elements, options);
  const path: CentralPath = {
    eclipse: elements.id,
    deltaTS: geometry.deltaTS,
    centre: [],
    north: [],
    south: [],
  };
  const hours = geometry.axisHours();
  const middle = hours ? (hours.from + hours.to) / 2 : geometry.greatestH;
  const half = hours ? (hours.to - hours.from) / 2 : 0.6;
  if (hours) {
    for (let i = 0; i < points; i++) {
      const t = middle - half * Math.cos((Math.PI * i) / (points - 1));
      const point = geometry.centreAt(Math.min(hours.to, Math.max(hours.from, t)));
      if (point) path.centre.push(point);
    }
  }
  const wide = half + MARGIN_H;
  for (let i = 0; i < points; i++) {
    const t = middle - wide * Math.cos((Math.PI * i) / (points - 1));
    for (const [line, side] of [
      [path.north, 1],
      [path.south, -1],
    ] as const) {
      const ground = geometry.limitAt(t, side);
      if (ground) line.push({ ...ground, utcMs: utcAt(elements, t) });
    }
  }
  return path;
}

/** Points of the path at single instants (hours of TT after t0). */
export class PathGeometry {
  readonly elements: BesselianElements;
  readonly deltaTS: number;
  readonly greatestH: number;
  readonly heightM: number;

  constructor(elements: BesselianElements, options: PathOptions = {}) {
    const { shadow, deltaT } = shadowAt(
      elements,
      { latDeg: 0, lonDeg: 0, heightM: options.heightM ?? 0 },
      options,
    );
    this.heightM = options.heightM ?? 0;
    this.elements = shadow.elements;
    this.deltaTS = deltaT.deltaTS;
    this.greatestH = (elements.greatestTtMs - elements.t0TtMs) / 3_600_000;
  }

  /** When the axis first and last meets the ground, or null. */
  axisHours(): { from: number; to: number } | null {
    const inside = (t: number) => {
      const disc = new EarthDisc(this.elements, t, this.deltaTS);
      return (
        1 - polynomial(this.elements.x, t) ** 2 - (polynomial(this.elements.y, t) / disc.halfHeight) ** 2
      );
    };
    let best = this.greatestH;
    for (let t = best - 0.1; t <= this.greatestH + 0.1; t += 0.002) if (inside(t) > inside(best)) best = t;
    if (inside(best) <= 0) return null;
    return {
      from: zeroBetween(inside, best - 4, best, 1e-9),
      to: zeroBetween(inside, best, best + 4, 1e-9),
    };
  }

  /** Where the axis meets the ground at an instant, or null when it is beside the Earth. */
  axisGround(t: number): GroundPoint | null {
    const [x, y] = [polynomial(this.elements.x, t), polynomial(this.elements.y, t)];
    const disc = this.#disc(t);
    // At the very ends rounding may push the axis off the disc by parts in 1e10.
    return disc.under(x, y) ?? (disc.inside(x, y) > -1e-7 ? disc.edgeNear(x, y).ground : null);
  }

  /** The central line at an instant, or null when the axis is beside the Earth. */
  centreAt(t: number): PathPoint | null {
    const e = this.elements;
    const ground = this.axisGround(t);
    if (!ground) return null;
    const shadow = this.#over(ground);
    const s = shadow.at(t);
    const hours = contactHours(shadow);
    const sky = sunInSky(shadow.observer, s);
    return {
      ...ground,
      utcMs: utcAt(e, t),
      kind: s.l2 < 0 ? "total" : "annular",
      durationS: hours?.c2 == null || hours.c3 === null ? 0 : (hours.c3 - hours.c2) * 3600,
      widthKm: widthKm(s, polynomial(e.x, t), polynomial(e.y, t)),
      ratio: (s.l1 - s.l2) / (s.l1 + s.l2),
      sunAltitudeDeg: sky.altitudeDeg,
      sunAzimuthDeg: sky.azimuthDeg,
    };
  }

  /** A limit of the path at an instant: 1 north, −1 south; null when it is not on the ground. */
  limitAt(t: number, side: Side): GroundPoint | null {
    const e = this.elements;
    const [x, y] = [polynomial(e.x, t), polynomial(e.y, t)];
    const disc = this.#disc(t);
    let ground = disc.under(x, y) ?? disc.edgeNear(x, y).ground;
    let last: GroundPoint | null = null;
    for (let i = 0; i < 20; i++) {
      const s = this.#over(ground).at(t);
      const radius = Math.abs(s.l2);
      const speed = Math.hypot(s.uRate, s.vRate);
      const across = Math.acos(Math.max(-1, Math.min(1, (Math.sign(s.l2) * s.l2Rate) / speed)));
      // Place minus axis lies at angle q; side +1 is the one toward +y.
      const q = Math.atan2(s.uRate, s.vRate) + side * across;
      const next = disc.under(x - radius * Math.sin(q), y - radius * Math.cos(q));
      if (!next) return null;
      const moved = Math.abs(next.latDeg - ground.latDeg) + Math.abs(next.lonDeg - ground.lonDeg) * 0.5;
      ground = next;
      last = next;
      if (moved < 1e-7) break;
    }
    return last;
  }

  #disc(t: number): EarthDisc {
    return new EarthDisc(this.elements, t, this.deltaTS, this.heightM);
  }

  #over(ground: GroundPoint): ShadowAtPlace {
    return new ShadowAtPlace(this.elements, observerAt({ ...ground, heightM: this.heightM }), this.deltaTS);
  }
}

/** Width of the path on the ground, km: the umbra's diameter spread by the Sun's slant across the motion. */
function widthKm(s: ShadowState, xi: number, eta: number): number {
  const along = (xi * s.uRate + eta * s.vRate) / Math.hypot(s.uRate, s.vRate);
  return (2 * Math.abs(s.l2) * EARTH_RADIUS_KM) / Math.hypot(s.zeta, along);
}
