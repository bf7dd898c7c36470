/**
 * Sunrise and sunset within an eclipse: when the Sun's upper limb crosses the sea horizon between
 * two moments. A flat horizon without dip: mountains, trees and height are the skyline's business
 * (skyline.ts).
 */
import { zeroBetween } from "./roots.ts";
import { type ShadowAtPlace, sunInSky } from "./shadow-at-place.ts";
import { RISEN_ALTITUDE_DEG } from "./sun.ts";

/** Hours; the Sun's altitude cannot bend twice within it. */
const STEP_H = 0.25;
/** The Sun moves less than this in a step. */
const FAR_DEG = 4;
const TOLERANCE_H = 1e-7;

interface HorizonCrossings {
  /** Whether the Sun's upper limb is above the horizon at any moment between the two. */
  visible: boolean;
  /** Hours after t0, or null. */
  rise: number | null;
  set: number | null;
}

/** The first sunrise and the last sunset between two moments, hours after t0. */
export function horizonCrossings(shadow: ShadowAtPlace, from: number, to: number): HorizonCrossings {
  const height = (t: number) => sunInSky(shadow.observer, shadow.sunAt(t)).altitudeDeg - RISEN_ALTITUDE_DEG;
  const steps = Math.max(2, Math.ceil((to - from) / STEP_H));
  const result: HorizonCrossings = { visible: false, rise: null, set: null };
  const cross = (a: number, b: number) => {
    const [ha, hb] = [height(a), height(b)];
    if (ha > 0 || hb > 0) result.visible = true;
    if (ha <= 0 && hb > 0) result.rise ??= zeroBetween(height, a, b, TOLERANCE_H);
    if (ha > 0 && hb <= 0) result.set = zeroBetween(height, a, b, TOLERANCE_H);
  };
  let b = from;
  let hb = height(b);
  for (let i = 0; i < steps; i++) {
    const [a, ha] = [b, hb];
    b = from + ((to - from) * (i + 1)) / steps;
    hb = height(b);
    if (Math.min(ha, hb) > FAR_DEG) result.visible = true;
    if (Math.min(ha, hb) > FAR_DEG || Math.max(ha, hb) < -FAR_DEG) continue;
    const noon = culmination(shadow, a, b);
    if (noon === null) cross(a, b);
    else {
      cross(a, noon);
      cross(noon, b);
    }
  }
  return result;
}

/** The Sun rises or sinks by no more than this in LOOK_BACK_H: 15° an hour at the most. */
const LOOK_BACK_RISE_DEG = 24;
/** How long before the first contact a sunrise is looked for: people set up in that time. */
const LOOK_BACK_H = 1.5;

/**
 * The stretch in which the Sun is up around an eclipse, hours after t0: from when (null: up since
 * 1.5 h before `c1`) until when (null: up to `c4` and beyond). It is the one with maximum in it,
 * or where the Sun is down at maximum the one nearest to it; null where there is none. Within the
 * few hours of an eclipse the Sun does not rise twice, nor set twice.
 */
export function sunUpAround(
  shadow: ShadowAtPlace,
  { c1, max, c4 }: { c1: number; max: number; c4: number },
): { from: number | null; until: number | null } | null {
  const heightDeg = (t: number) =>
    sunInSky(shadow.observer, shadow.sunAt(t)).altitudeDeg - RISEN_ALTITUDE_DEG;
  // Far from any horizon for the whole of it, as at most places.
  if (heightDeg(c1) > LOOK_BACK_RISE_DEG && heightDeg(max) > 0 && heightDeg(c4) > LOOK_BACK_RISE_DEG)
    return { from: null, until: null };
  const first = c1 - LOOK_BACK_H;
  if (heightDeg(max) > 0)
    return {
      from: horizonCrossings(shadow, first, max).rise,
      until: horizonCrossings(shadow, max, c4).set,
    };
  const set = horizonCrossings(shadow, c1, max).set;
  const rise = horizonCrossings(shadow, max, c4).rise;
  if (set !== null && (rise === null || max - set <= rise - max))
    return { from: horizonCrossings(shadow, first, set).rise, until: set };
  return rise === null ? null : { from: rise, until: horizonCrossings(shadow, rise, c4).set };
}

/** The moment between a and b when the Sun is highest or lowest (hour angle 0 or 180°), or null. */
function culmination(shadow: ShadowAtPlace, a: number, b: number): number | null {
  const sine = (t: number) => Math.sin(shadow.sunAt(t).hourAngleRad);
  const zero = zeroBetween(sine, a, b, TOLERANCE_H);
  return Number.isNaN(zero) ? null : zero;
}
