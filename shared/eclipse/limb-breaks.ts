/**
 * Which points of the Moon's outline break the central phase, and when.
 *
 * A point at position angle q breaks it while excess(q, t) > 0 (limb-effect.ts has the formula; in an
 * annular eclipse with the sign turned). For one point the excess runs nearly straight over time,
 * bent by the Sun's and the Moon's round edges: in a totality it may rise and sink again, so that a
 * valley shows light for a while about the middle of a grazing totality which is whole before and
 * after; in a ring it may not. The phase taken is the one about its heart, the moment that is safest
 * from being broken. Another Sun raises or lowers all points by as much: where the heart is does not
 * depend on the Sun's radius, and the phases of different Suns about it lie one in another.
 */
import { EARTH_RADIUS_KM } from "./elements.ts";
import { type LimbProfile, PROFILE_POINTS, PROFILE_STEP_DEG } from "./limb-profile.ts";
import type { ShadowAtPlace, ShadowState } from "./shadow-at-place.ts";

const RAD = Math.PI / 180;
/** Beads are sought so long before and after a contact of the smooth Moon, seconds. */
export const REACH_S = 40;
/** Between steps the excess is taken for straight. */
const GRID_S = 1;
/** A radius in the umbra's plane changes by 1 + z/G for each unit of the Moon's radius. */
const SPREAD = 1.0026;
/** Deeper than this nothing breaks the phase near its middle, for Suns within 2″ of the canon's, km. */
const DEEP_KM = 5;
/** The heart is sought so far beyond the smooth Moon's contacts, seconds. */
const SEEK_S = 20;
const LOOKS = 40;
const NARROWINGS = 12;

const SINES = Float64Array.from({ length: PROFILE_POINTS }, (_, j) => Math.sin(j * PROFILE_STEP_DEG * RAD));
const COSINES = Float64Array.from({ length: PROFILE_POINTS }, (_, j) => Math.cos(j * PROFILE_STEP_DEG * RAD));

/** The way outward from a moment within the phase, in steps of GRID_S. */
interface WayOut {
  us: Float64Array;
  vs: Float64Array;
  l2s: Float64Array;
  sunDiameter: number;
  /** By no more than this a point's excess rises above both its ends on the way, Earth radii. */
  bulge: number;
  /** What stands for "not within reach". */
  neverS: number;
}

/** A central phase over a place as the Moon's outline leaves it, for one Sun. */
export class RoughPhase {
  readonly #shadow: ShadowAtPlace;
  readonly #sign: 1 | -1;
  /** Heights of the outline on the umbra's plane, Earth radii. */
  readonly #heights: Float64Array;

  /** `raisedKm` lifts the whole outline: what relief may be in it that the profile cannot see. */
  constructor(shadow: ShadowAtPlace, profile: LimbProfile, total: boolean, raisedKm = 0) {
    this.#shadow = shadow;
    this.#sign = total ? 1 : -1;
    this.#heights = profile.heightKm.map((km) => (SPREAD * (km + raisedKm)) / EARTH_RADIUS_KM);
  }

  /** The greatest excess at t hours after t0, Earth radii: above 0 the phase is broken there. */
  worst(t: number): number {
    const { u, v, l1, l2 } = this.#shadow.at(t);
    let worst = Number.NEGATIVE_INFINITY;
    for (let j = 0; j < PROFILE_POINTS; j++) worst = Math.max(worst, this.#excess(j, u, v, l2, l1 + l2));
    return worst;
  }

  /**
   * The heart of the phase between two contacts of the smooth Moon, hours after t0: their middle
   * where it is deep there, else sought, a little beyond them too.
   */
  heart(c2: number, c3: number): number {
    const middle = (c2 + c3) / 2;
    if (this.worst(middle) < -DEEP_KM / EARTH_RADIUS_KM) return middle;
    const from = c2 - SEEK_S / 3600;
    const step = (c3 - c2 + (2 * SEEK_S) / 3600) / LOOKS;
    const depths = Array.from({ length: LOOKS + 1 }, (_, i) => this.worst(from + i * step));
    const best = from + depths.indexOf(Math.min(...depths)) * step;
    let [lo, hi] = [best - step, best + step];
    for (let i = 0; i < NARROWINGS; i++) {
      const [a, b] = [lo + (hi - lo) / 3, hi - (hi - lo) / 3];
      if (this.worst(a) < this.worst(b)) hi = b;
      else lo = a;
    }
    return (lo + hi) / 2;
  }

  /**
   * For each point of the profile, seconds from a moment (going outward, to a contact of the smooth
   * Moon `spanS` away and REACH_S beyond) at which it first breaks the phase; the end of the reach
   * where it does not.
   */
  breaksS(from: number, spanS: number, direction: 1 | -1): Float64Array {
    const way = this.#way(from, spanS, direction);
    const last = way.us.length - 1;
    return Float64Array.from({ length: PROFILE_POINTS }, (_, j) => {
      const i = this.#firstStep(way, j, last);
      return i < 0 ? way.neverS : this.#breakS(way, j, i);
    });
  }

  /** The least of `breaksS` for a phase that is whole at the moment, at less cost. */
  firstBreakS(from: number, spanS: number, direction: 1 | -1): number {
    const way = this.#way(from, spanS, direction);
    let last = way.us.length - 1;
    let first = way.neverS;
    for (let j = 0; j < PROFILE_POINTS; j++) {
      const i = this.#firstStep(way, j, last);
      if (i < 0) continue;
      last = i;
      first = Math.min(first, this.#breakS(way, j, i));
    }
    return first;
  }

  #way(from: number, spanS: number, direction: 1 | -1): WayOut {
    const count = Math.ceil((spanS + REACH_S) / GRID_S) + 1;
    const states = Array.from({ length: count }, (_, i) =>
      this.#shadow.at(from + (direction * i * GRID_S) / 3600),
    );
    const { u, v, l1, l2 } = states[0] as ShadowState;
    const end = states[count - 1] as ShadowState;
    // Of a parabola −x²/D over a stretch X the bulge is X²/4D; twice that for the Earth's turning, too.
    const bulge = ((end.u - u) ** 2 + (end.v - v) ** 2) / (2 * (l1 + l2));
    return {
      us: Float64Array.from(states, (s) => s.u),
      vs: Float64Array.from(states, (s) => s.v),
      l2s: Float64Array.from(states, (s) => s.l2),
      sunDiameter: l1 + l2,
      bulge,
      neverS: spanS + REACH_S,
    };
  }

  /** The first step, up to the last, by which a point has broken the phase; −1 where none. */
  #firstStep(way: WayOut, j: number, last: number): number {
    const atLast = this.#excessOn(way, j, last);
    if (atLast > 0) {
      let [dark, lit] = [-1, last];
      while (lit - dark > 1) {
        const between = (dark + lit) >> 1;
        if (this.#excessOn(way, j, between) > 0) lit = between;
        else dark = between;
      }
      return lit;
    }
    if (Math.max(atLast, this.#excessOn(way, j, 0)) > -way.bulge)
      for (let i = 0; i < last; i++) if (this.#excessOn(way, j, i) > 0) return i;
    return -1;
  }

  #breakS(way: WayOut, j: number, i: number): number {
    if (i === 0) return 0;
    const [before, now] = [this.#excessOn(way, j, i - 1), this.#excessOn(way, j, i)];
    return (i - now / (now - before)) * GRID_S;
  }

  #excessOn(way: WayOut, j: number, i: number): number {
    return this.#excess(j, way.us[i] as number, way.vs[i] as number, way.l2s[i] as number, way.sunDiameter);
  }

  #excess(j: number, u: number, v: number, l2: number, sunDiameter: number): number {
    const sinQ = SINES[j] as number;
    const cosQ = COSINES[j] as number;
    const across = u * cosQ - v * sinQ;
    const along = u * sinQ + v * cosQ;
    return this.#sign * (-along - (across * across) / sunDiameter + l2 - (this.#heights[j] as number));
  }
}
