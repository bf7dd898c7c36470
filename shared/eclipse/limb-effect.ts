/**
 * What the Moon's mountains and valleys do to C2 and C3 at a place, and where on the limb beads
 * show and for how long.
 *
 * Model: a point of the limb at position angle q lets sunlight by while the Sun's edge stands
 * outside the Moon's outline there: excess(q, t) = −u·sin q − v·cos q − (u·cos q − v·sin q)²/2s
 * + L2 − h(q) > 0 (lengths on the fundamental plane, s the Sun's radius). Each point goes dark and
 * comes back at its own moment. In a total eclipse C2 is when the last point goes dark, C3 when the
 * first comes back; in an annular one the ring closes when the last peak has come off the Sun's
 * edge. A bead is a stretch of limb that outlasts its surroundings: it begins when the ridge toward
 * a longer-lived neighbour goes dark and ends with its own last point (in a total eclipse's C3 the
 * other way round; in an annular eclipse the same for the dark gaps between beads).
 * One profile serves both contacts: the Moon turns by 0.01° a minute, a fraction of a pixel.
 */
import type { UtcMs } from "../time/instants.ts";
import { type CircumstancesOptions, shadowAt, utcAt } from "./circumstances.ts";
import type { LimbShift, Place } from "./circumstances-types.ts";
import { contactHours } from "./contacts.ts";
import { type BesselianElements, CANON_SIZES, EARTH_RADIUS_KM } from "./elements.ts";
import type { LimbBelt } from "./limb-belt.ts";
import { type LimbProfile, limbProfileSteps, PROFILE_POINTS, PROFILE_STEP_DEG } from "./limb-profile.ts";
import { islandsOf } from "./persistence.ts";
import type { ShadowAtPlace, ShadowState } from "./shadow-at-place.ts";
import { atOnce, type Steps } from "./steps.ts";

const RAD = Math.PI / 180;
/** Beads are sought so long before and after a contact of the smooth Moon, seconds. */
const REACH_S = 40;
const GRID_S = 1;
/** Beads shorter than this are not worth a window. */
const SHORTEST_BEAD_S = 0.4;
/** Terrain finer than the source's pixels: half a pixel's usual relief (common practice, no source), km. */
const UNSEEN_RELIEF_KM = 0.2;
/** A radius in the umbra's plane changes by 1 + z/G for each unit of the Moon's radius. */
const SPREAD = 1.0026;

export interface BeadWindow {
  /** Middle of the bead (annular: of the dark gap beside it), degrees from celestial north through east. */
  positionAngleDeg: number;
  fromUtcMs: UtcMs;
  toUtcMs: UtcMs;
}

export interface LimbEffect extends LimbShift {
  /** Beads about C2 and C3, longest first. */
  beads: { c2: BeadWindow[]; c3: BeadWindow[] };
  /** True where light shows through a valley at every moment, so that the phase is never complete. */
  broken: boolean;
  profile: LimbProfile;
}

/** Null where the smooth Moon has no central phase. */
export function limbEffect(
  belt: LimbBelt,
  elements: BesselianElements,
  place: Place,
  options: CircumstancesOptions = {},
): LimbEffect | null {
  return atOnce(limbEffectSteps(belt, elements, place, options));
}

/** The same in steps, for a hub that has safety orders to pass on meanwhile. */
export function* limbEffectSteps(
  belt: LimbBelt,
  elements: BesselianElements,
  place: Place,
  options: CircumstancesOptions = {},
): Steps<LimbEffect | null> {
  const { shadow, sizes } = shadowAt(elements, place, options);
  const hours = contactHours(shadow);
  if (hours === null || hours.c2 === null || hours.c3 === null) return null;
  const total = hours.kind === "total";
  const k = sizes.kUmbra ?? CANON_SIZES.kUmbra;
  const middle = (hours.c2 + hours.c3) / 2;
  const profile = yield* limbProfileSteps(belt, shadow, middle, k);
  yield;
  const side = (contact: number, direction: 1 | -1) => {
    // From the middle of the phase outward: when does each point of the limb first break it?
    const broken = breakTimes(shadow, profile, middle, contact, direction, total);
    const first = broken.reduce((a, b) => Math.min(a, b), Number.POSITIVE_INFINITY);
    const beads = islandsOf(broken, REACH_S + Math.abs(contact - middle) * 3600).flatMap((island) => {
      const [ends, begins] = [island.peak, island.merge];
      if (begins - ends < SHORTEST_BEAD_S || ends > first + REACH_S) return [];
      const at = (s: number) => utcAt(elements, middle + (direction * s) / 3600);
      const [near, far] = [at(ends), at(begins)];
      return [
        {
          positionAngleDeg: island.index * PROFILE_STEP_DEG,
          fromUtcMs: direction < 0 ? far : near,
          toUtcMs: direction < 0 ? near : far,
        },
      ];
    });
    beads.sort((a, b) => b.toUtcMs - b.fromUtcMs - (a.toUtcMs - a.fromUtcMs));
    const shiftS = direction * (first - Math.abs(contact - middle) * 3600);
    return { beads, shiftS, broken: first <= 0, boundS: reliefSeconds(shadow, contact) };
  };
  const c2 = side(hours.c2, -1);
  yield;
  const c3 = side(hours.c3, 1);
  return {
    c2ShiftS: c2.shiftS,
    c3ShiftS: c3.shiftS,
    boundS: Math.max(c2.boundS, c3.boundS),
    beads: { c2: c2.beads, c3: c3.beads },
    broken: c2.broken || c3.broken,
    profile,
  };
}

/**
 * For each point of the profile, seconds from the middle of the phase (going outward) at which it
 * first breaks the phase; a large number where it does not within reach.
 */
function breakTimes(
  shadow: ShadowAtPlace,
  profile: LimbProfile,
  middle: number,
  contact: number,
  direction: 1 | -1,
  total: boolean,
): Float64Array {
  const span = Math.abs(contact - middle) * 3600;
  const from = Math.max(0, span - REACH_S);
  const count = Math.ceil((span + REACH_S - from) / GRID_S) + 1;
  const sign = total ? 1 : -1;
  const states = Array.from({ length: count }, (_, i) =>
    shadow.at(middle + (direction * (from + i * GRID_S)) / 3600),
  );
  const us = Float64Array.from(states, (s) => s.u);
  const vs = Float64Array.from(states, (s) => s.v);
  const l2s = Float64Array.from(states, (s) => s.l2);
  const first = states[0] as ShadowState;
  const sunDiameter = first.l1 + first.l2;
  const never = span + REACH_S;
  const result = new Float64Array(PROFILE_POINTS).fill(never);
  for (let j = 0; j < PROFILE_POINTS; j++) {
    const sinQ = SINES[j] as number;
    const cosQ = COSINES[j] as number;
    const height = (SPREAD * (profile.heightKm[j] as number)) / EARTH_RADIUS_KM;
    const excess = (i: number) => {
      const u = us[i] as number;
      const v = vs[i] as number;
      const across = u * cosQ - v * sinQ;
      return sign * (-u * sinQ - v * cosQ - (across * across) / sunDiameter + (l2s[i] as number) - height);
    };
    // Going outward the excess grows wherever it matters: dark at the end of reach is dark throughout.
    if (excess(count - 1) <= 0) continue;
    let before = 0;
    for (let i = 0; i < count; i++) {
      const now = excess(i);
      if (now > 0) {
        result[j] = from + (i === 0 ? 0 : i - now / (now - before)) * GRID_S;
        break;
      }
      before = now;
    }
  }
  return result;
}

const SINES = Float64Array.from({ length: PROFILE_POINTS }, (_, j) => Math.sin(j * PROFILE_STEP_DEG * RAD));
const COSINES = Float64Array.from({ length: PROFILE_POINTS }, (_, j) => Math.cos(j * PROFILE_STEP_DEG * RAD));

/** Seconds by which unseen relief moves a contact. */
function reliefSeconds(shadow: ShadowAtPlace, t: number): number {
  const s = shadow.at(t);
  const m = Math.hypot(s.u, s.v);
  const closing = Math.abs((s.u * s.uRate + s.v * s.vRate) / m - Math.sign(s.l2) * s.l2Rate);
  const span = UNSEEN_RELIEF_KM / EARTH_RADIUS_KM;
  // Grazing: no slower than the shadow's own curve allows.
  const slowest = Math.sqrt(span / m) * Math.hypot(s.uRate, s.vRate);
  return (3600 * span) / Math.max(closing, slowest);
}
