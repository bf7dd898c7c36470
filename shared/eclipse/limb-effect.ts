/**
 * What leads from C2 and C3 of the smooth Moon and the canon's Sun to those seen at a place: the
 * Moon's mountains and valleys and the Sun as eclipses show it (elements.ts). And where on the limb
 * beads show and for how long.
 *
 * Model: a point of the limb at position angle q lets sunlight by while the Sun's edge stands
 * outside the Moon's outline there: excess(q, t) = −u·sin q − v·cos q − (u·cos q − v·sin q)²/2s
 * + L2 − h(q) > 0 (lengths on the fundamental plane, s the Sun's radius). Each point goes dark and
 * comes back at its own moment. In a total eclipse C2 is when the last point goes dark, C3 when the
 * first comes back; in an annular one the ring closes when the last peak has come off the Sun's
 * edge. A bead is a stretch of limb that outlasts its surroundings: it begins when the ridge toward
 * a longer-lived neighbour goes dark and ends with its own last point (in a total eclipse's C3 the
 * other way round; in an annular eclipse the same for the dark gaps between beads).
 * How well the Sun's radius is known is turned into seconds by moving it: one profile, and for Suns
 * smaller and larger by the doubt only the first break of each side. Since a totality only shrinks as
 * the Sun grows, and a ring only widens, no radius between moves the contacts further. Relief that
 * the profile cannot see is treated alike. The doubt is the Sun of eclipses' own, whatever radius
 * was asked for.
 * One profile serves both contacts: the Moon turns by 0.01° a minute, a fraction of a pixel.
 */
import type { UtcMs } from "../time/instants.ts";
import { type CircumstancesOptions, shadowAt, utcAt } from "./circumstances.ts";
import type { LimbShift, Place } from "./circumstances-types.ts";
import { contactHours } from "./contacts.ts";
import {
  type BesselianElements,
  SUN_OF_ECLIPSES_ARCSEC,
  SUN_OF_ECLIPSES_BOUND_ARCSEC,
  withSizes,
} from "./elements.ts";
import type { LimbBelt } from "./limb-belt.ts";
import { REACH_S, RoughPhase } from "./limb-breaks.ts";
import { type LimbProfile, limbProfileSteps, PROFILE_STEP_DEG } from "./limb-profile.ts";
import { islandsOf } from "./persistence.ts";
import { ShadowAtPlace } from "./shadow-at-place.ts";
import { atOnce, type Steps } from "./steps.ts";

/** Beads shorter than this are not worth a window. */
const SHORTEST_BEAD_S = 0.4;
/** Terrain finer than the source's pixels: half a pixel's usual relief (common practice, no source), km. */
const UNSEEN_RELIEF_KM = 0.2;
/** The ends of a phase that is broken throughout cross by so much, so that no rounding makes one of it. */
const CROSSED_S = 0.001;

interface BeadWindow {
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
  const { shadow, sizes, seenSunArcsec } = shadowAt(elements, place, options);
  const hours = contactHours(shadow);
  if (hours === null || hours.c2 === null || hours.c3 === null) return null;
  const { c2, c3 } = hours;
  const profile = yield* limbProfileSteps(belt, shadow, (c2 + c3) / 2, sizes.kUmbra);
  yield;
  const phaseFor = (solarRadiusArcsec: number, raisedKm = 0) => {
    const sized = withSizes(elements, { ...sizes, solarRadiusArcsec });
    const over = new ShadowAtPlace(sized, shadow.observer, shadow.deltaTS);
    return new RoughPhase(over, profile, hours.kind === "total", raisedKm);
  };
  const seen = phaseFor(seenSunArcsec);
  // By the canon's Sun, whatever the Sun: so phases of all Suns lie one in another.
  const heart = phaseFor(sizes.solarRadiusArcsec).heart(c2, c3);
  const broken = seen.worst(heart) > 0;
  yield;
  const side = (contact: number, direction: 1 | -1) => {
    // From the heart of the phase outward: when does each point of the limb first break it?
    const spanS = direction * (contact - heart) * 3600;
    const breaks = seen.breaksS(heart, spanS, direction);
    const firstS = breaks.reduce((a, b) => Math.min(a, b), Number.POSITIVE_INFINITY);
    const beads = islandsOf(breaks, REACH_S + spanS).flatMap((island) => {
      const [ends, begins] = [island.peak, island.merge];
      if (begins - ends < SHORTEST_BEAD_S || ends > firstS + REACH_S) return [];
      const at = (s: number) => utcAt(elements, heart + (direction * s) / 3600);
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
    const endS = broken ? 0 : firstS;
    const shiftS = direction * ((broken ? -CROSSED_S : firstS) - spanS);
    return { beads, direction, spanS, endS, shiftS };
  };
  const before = side(c2, -1);
  yield;
  const after = side(c3, 1);
  // How far either end moves, at most, when the phase is one of others.
  function* moveS(...others: RoughPhase[]): Steps<number> {
    let most = 0;
    for (const other of others) {
      yield;
      const none = other.worst(heart) > 0;
      for (const { direction, spanS, endS } of [before, after])
        most = Math.max(most, Math.abs((none ? 0 : other.firstBreakS(heart, spanS, direction)) - endS));
    }
    return most;
  }
  const radiusBoundS = yield* moveS(
    phaseFor(SUN_OF_ECLIPSES_ARCSEC - SUN_OF_ECLIPSES_BOUND_ARCSEC),
    phaseFor(SUN_OF_ECLIPSES_ARCSEC + SUN_OF_ECLIPSES_BOUND_ARCSEC),
  );
  const boundS = yield* moveS(
    phaseFor(seenSunArcsec, UNSEEN_RELIEF_KM),
    phaseFor(seenSunArcsec, -UNSEEN_RELIEF_KM),
  );
  return {
    c2ShiftS: before.shiftS,
    c3ShiftS: after.shiftS,
    boundS,
    radiusBoundS,
    beads: { c2: before.beads, c3: after.beads },
    broken,
    profile,
  };
}
