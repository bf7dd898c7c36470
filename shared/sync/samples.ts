/**
 * One exchange of four timestamps between a device and the hub, and what it proves.
 *
 *   device   t1 ────────╮               ╭──────── t4     (device's monotonic clock)
 *   hub                 ╰── t2 ── t3 ───╯                (hub's eclipse clock, UTC)
 *
 * With θ = hub's UTC − device's monotonic clock, and every journey taking some time ≥ 0:
 *   t2 − t1 ≥ θ(t1)   (journey up)        t3 − t4 ≤ θ(t4)   (journey down).
 * Offset and delay as RFC 5905 section 8: θ ≈ ((t2−t1)+(t3−t4))/2, δ = (t4−t1)−(t3−t2); the offset
 * is wrong by at most δ/2 whatever the asymmetry of the two journeys.
 *
 * The hub also tells the course of its own corrections (HubCourse): which part of its time is
 * correction, and how fast it corrects now and in the next slot. A device that takes this part off
 * sees a clock of steady rate, and knows of every slew before it begins.
 */
import type { MonoMs, UtcMs } from "../time/instants.ts";

/** The hub changes its rate of correction only at the ends of slots this long; told one slot ahead. */
export const SLEW_SLOT_MS = 20_000;

/** What the hub says of its own corrections, valid at t3. */
export interface HubCourse {
  /** Changes when the hub's clock starts afresh (hub restarted). Up to 40 characters. */
  epoch: string;
  /** Sum of all corrections so far, slews and steps, in ms. */
  shiftMs: number;
  /** Rate of correction now, in ppm (positive: the hub's UTC gains), |ppm| ≤ 500. */
  slewPpm: number;
  /** When the present slot ends, UTC in ms. */
  untilUtcMs: number;
  /** Rate of correction in the slot after it, in ppm. */
  thenPpm: number;
}

/** Four timestamps in ms. `hubBoundMs` is the hub's own bound against UTC at t3. */
export interface ClockSample {
  t1: MonoMs;
  t2: UtcMs;
  t3: UtcMs;
  t4: MonoMs;
  hubBoundMs: number;
  course?: HubCourse | undefined;
}

/** Round-trip delay without the hub's own time, in ms; RFC 5905 section 8. */
export function sampleDelayMs(s: ClockSample): number {
  return s.t4 - s.t1 - (s.t3 - s.t2);
}

type SampleFault = "notFinite" | "deviceBackwards" | "hubBackwards" | "negativeDelay" | "tooSlow";

/** An exchange slower than this tells nothing worth keeping. */
const MAX_DELAY_MS = 10_000;

/** What is wrong with an exchange, or null. A negative delay means a clock jumped during it. */
export function sampleFault(s: ClockSample): SampleFault | null {
  const c = s.course;
  const numbers = [s.t1, s.t2, s.t3, s.t4, s.hubBoundMs];
  if (c) numbers.push(c.shiftMs, c.slewPpm, c.untilUtcMs, c.thenPpm);
  if (!numbers.every(Number.isFinite) || s.hubBoundMs < 0) return "notFinite";
  if (s.t4 < s.t1) return "deviceBackwards";
  if (s.t3 < s.t2) return "hubBackwards";
  const delay = sampleDelayMs(s);
  // 0.1 ms: both ends may round their readings; relative rates up to 1000 ppm over slow exchanges
  if (delay < -0.1 - 1e-3 * (s.t4 - s.t1)) return "negativeDelay";
  return delay > MAX_DELAY_MS ? "tooSlow" : null;
}

/** Correction the hub's UTC contains at a later instant, as far as it was announced; then held. */
export function courseShiftMs(course: HubCourse | undefined, heardUtcMs: number, atUtcMs: number): number {
  if (!course) return 0;
  const now = Math.max(0, Math.min(atUtcMs, course.untilUtcMs) - heardUtcMs);
  const then = Math.min(SLEW_SLOT_MS, Math.max(0, atUtcMs - Math.max(course.untilUtcMs, heardUtcMs)));
  return course.shiftMs + (now * course.slewPpm + then * course.thenPpm) * 1e-6;
}
