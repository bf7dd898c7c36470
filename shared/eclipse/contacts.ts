/**
 * When the shadow's edges pass a place: C1, maximum, C4 for the penumbra, C2 and C3 for the umbra
 * or antumbra, as zeros of m² − L². Times are hours of TT after the elements' t0.
 *
 * Maximum is where the axis is nearest the place (m least), the convention of the printed tables;
 * whether there is a central phase is decided at the least of m² − L2², a fraction of a second off.
 * Assumes one passage of the penumbra per eclipse, which holds because the shadow always
 * overtakes the ground eastward (relative speed above 0.2 Earth radii an hour).
 */
import { zeroBetween } from "./roots.ts";
import type { ShadowAtPlace, ShadowState } from "./shadow-at-place.ts";

/** 0.04 ms, in hours. */
const TOLERANCE_H = 1e-8;
/** The gap is flat at its least: so far off it is the same to a few millimetres. */
const DEEPEST_TOLERANCE_H = 1e-5;
const SCAN_FROM_H = -4;
const SCAN_TO_H = 4;
/** m² bends one way over such a step wherever the penumbra is near. */
const SCAN_STEP_H = 0.5;
const STEP_OUT_H = 0.25;
const STEPS_OUT = 24;
const NEWTON_STEPS = 8;
/** The longest annular phase lasts 12.5 min; near the horizon's far side cones are wider. */
const CENTRAL_REACH_H = 1;

export interface ContactHours {
  kind: "partial" | "annular" | "total";
  c1: number;
  c2: number | null;
  max: number;
  c3: number | null;
  c4: number;
}

/** Half the rate of m². */
const approach = (s: ShadowState) => s.u * s.uRate + s.v * s.vRate;
type Cone = "l1" | "l2";
const gapOf = (s: ShadowState, cone: Cone) => s.u * s.u + s.v * s.v - s[cone] * s[cone];
const gapRateOf = (s: ShadowState, cone: Cone) =>
  2 * (approach(s) - s[cone] * (cone === "l1" ? s.l1Rate : s.l2Rate));

/** Fraction of the Sun's diameter covered; ≤ 0 when the discs do not meet. */
export function magnitudeOf(s: ShadowState): number {
  return (s.l1 - Math.hypot(s.u, s.v)) / (s.l1 + s.l2);
}

/** The instant of greatest magnitude within the elements' hours, or null when none is near. */
function nearestApproach(shadow: ShadowAtPlace): number | null {
  let best: number | null = null;
  let bestMagnitude = Number.NEGATIVE_INFINITY;
  let before = approach(shadow.at(SCAN_FROM_H));
  for (let t = SCAN_FROM_H + SCAN_STEP_H; t <= SCAN_TO_H; t += SCAN_STEP_H) {
    const now = approach(shadow.at(t));
    if (before < 0 && now >= 0) {
      const zero = zeroBetween((x) => approach(shadow.at(x)), t - SCAN_STEP_H, t, TOLERANCE_H);
      const magnitude = magnitudeOf(shadow.at(zero));
      if (magnitude > bestMagnitude) [best, bestMagnitude] = [zero, magnitude];
    }
    before = now;
  }
  return best;
}

/** Contacts of the smooth Moon at a place; null when no eclipse is seen from there. */
export function contactHours(shadow: ShadowAtPlace): ContactHours | null {
  const max = nearestApproach(shadow);
  if (max === null || magnitudeOf(shadow.at(max)) <= 0) return null;
  const c1 = edge(shadow, "l1", max, -1);
  const c4 = edge(shadow, "l1", max, 1);
  const central = centralHours(shadow, max);
  return { kind: central?.kind ?? "partial", c1, c2: central?.c2 ?? null, max, c3: central?.c3 ?? null, c4 };
}

interface CentralHours {
  kind: "total" | "annular";
  c2: number;
  c3: number;
}

function centralHours(shadow: ShadowAtPlace, near: number): CentralHours | null {
  const deepest = deepestInUmbra(shadow, near);
  if (deepest === null) return null;
  const state = shadow.at(deepest);
  if (gapOf(state, "l2") >= 0) return null;
  return {
    kind: state.l2 < 0 ? "total" : "annular",
    c2: edge(shadow, "l2", deepest, -1, state),
    c3: edge(shadow, "l2", deepest, 1, state),
  };
}

/** The central phase at a place not far from one whose phase is known, or null; cheaper than all contacts. */
export function centralHoursNear(
  shadow: ShadowAtPlace,
  known: { c2: number; c3: number },
): CentralHours | null {
  const c2 = newton(shadow, "l2", known.c2, -1);
  const c3 = newton(shadow, "l2", known.c3, 1);
  if (c2 === null || c3 === null || c2 >= c3) return centralHours(shadow, (known.c2 + known.c3) / 2);
  return { kind: shadow.at((c2 + c3) / 2).l2 < 0 ? "total" : "annular", c2, c3 };
}

/** When m² − L2² is least, near a moment: Newton, and halving should that stray; null when far away. */
function deepestInUmbra(shadow: ShadowAtPlace, near: number): number | null {
  let t = near;
  for (let i = 0; i < NEWTON_STEPS; i++) {
    const s = shadow.at(t);
    const bend = 2 * (s.uRate * s.uRate + s.vRate * s.vRate - s.l2Rate * s.l2Rate);
    const step = -gapRateOf(s, "l2") / bend;
    t += step;
    if (!(bend > 0 && Math.abs(t - near) < CENTRAL_REACH_H)) break;
    if (Math.abs(step) < DEEPEST_TOLERANCE_H) return t;
  }
  const rate = (x: number) => gapRateOf(shadow.at(x), "l2");
  let reach = 0.02;
  while (rate(near - reach) > 0 || rate(near + reach) < 0) {
    reach *= 2;
    if (reach > CENTRAL_REACH_H) return null;
  }
  return zeroBetween(rate, near - reach, near + reach, TOLERANCE_H);
}

/**
 * When a cone's edge passes, going from a moment inside it in a direction of time. Newton from the
 * straight-line guess; should that stray, stepping out and halving.
 */
function edge(
  shadow: ShadowAtPlace,
  cone: Cone,
  from: number,
  direction: 1 | -1,
  s = shadow.at(from),
): number {
  const speed2 = s.uRate * s.uRate + s.vRate * s.vRate;
  const guess = from + direction * Math.sqrt(Math.max(0, -gapOf(s, cone)) / speed2);
  const found = newton(shadow, cone, guess, direction);
  if (found !== null && direction * (found - from) > 0) return found;
  const gap = (x: number) => gapOf(shadow.at(x), cone);
  const stride = direction * (cone === "l1" ? STEP_OUT_H : STEP_OUT_H / 8);
  for (let i = 0; i < STEPS_OUT; i++) {
    const [a, b] = [from + i * stride, from + (i + 1) * stride];
    if (gap(b) > 0) return zeroBetween(gap, Math.min(a, b), Math.max(a, b), TOLERANCE_H);
  }
  return from + STEPS_OUT * stride;
}

/** A passage of a cone's edge outward in a direction of time, from a guess; null should it stray. */
function newton(shadow: ShadowAtPlace, cone: Cone, guess: number, direction: 1 | -1): number | null {
  let t = guess;
  for (let i = 0; i < NEWTON_STEPS; i++) {
    const at = shadow.at(t);
    const gapRate = gapRateOf(at, cone);
    const step = -gapOf(at, cone) / gapRate;
    t += step;
    if (!(direction * gapRate > 0)) return null;
    if (Math.abs(step) < TOLERANCE_H) return t;
  }
  return null;
}
