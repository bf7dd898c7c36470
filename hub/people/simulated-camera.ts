/**
 * A camera whose clock is known exactly: what it would stamp when it photographs the clock page. The
 * world: ±15 ppm about any offset within hours, groups an hour and a half before and after C2, a display
 * that takes up to 80 ms, two panels of which one or the other is read.
 *
 * `WAYS` are the ways of photographing that were measured on a prototype, with the half-widths it stated
 * (p50 and p95, ms): the method is held to them.
 */
import { type ClockPhotograph, DISPLAY_LATENCY_MS } from "../../shared/images/camera-clock/photographs.ts";
import { offsetAt, solveCameraClock } from "../../shared/images/camera-clock/solve.ts";

/** C2 of an invented day: any instant would do. */
export const SIMULATED_C2_MS = Date.UTC(2027, 7, 2, 10, 2, 8);
const APART_MS = 1.5 * 3_600_000;
const PPM = 15;

export interface Way {
  says: string;
  stepMs: number;
  holdMs: number;
  /** Instants after the group's beginning, ms. */
  times: (next: () => number) => number[];
  groups: readonly ("before" | "after")[];
  /** Half-width at C2 that the prototype stated, ms. */
  p50Ms: number;
  p95Ms: number;
}

const BOTH = ["before", "after"] as const;
const some = (count: number) => (next: () => number) => Array.from({ length: count }, () => next() * 60_000);
/** No shutter runs like a clock: each frame comes within a fifth of its beat. */
const burst = (lengthMs: number, perS: number) => (next: () => number) =>
  Array.from(
    { length: Math.round((lengthMs / 1000) * perS) },
    (_, i) => ((i + (next() - 0.5) * 0.4) * 1000) / perS,
  );
const way = (
  says: string,
  stepMs: number,
  holdMs: number,
  times: Way["times"],
  p50Ms: number,
  p95Ms: number,
  groups: Way["groups"] = BOTH,
): Way => ({ says, stepMs, holdMs, times, p50Ms, p95Ms, groups });

export const WAYS: readonly Way[] = [
  way("1 s stamps, one at each end", 1000, 200, some(1), 635, 876),
  way("1 s, ten at random moments at each end", 1000, 200, some(10), 235, 310),
  way("1 s, a burst of 3 s at 8/s at each end", 1000, 200, burst(3000, 8), 160, 210),
  way("1 s, a burst of 6 s, fast panels", 1000, 100, burst(6000, 8), 108, 132),
  way("0.01 s stamps, five at each end", 10, 200, some(5), 105, 122),
  way("0.01 s, three at each end, fast panels", 10, 100, some(3), 83, 95),
  way("a burst after only", 1000, 200, burst(3000, 8), 376, 426, ["after"]),
];

export interface SimulatedCamera {
  /** Camera − UTC at an instant, ms. */
  truthMs: (utcMs: number) => number;
  photos: ClockPhotograph[];
}

/** @param next a seeded sequence of numbers below 1. */
export function simulatedCamera(next: () => number, { stepMs, holdMs, times, groups }: Way): SimulatedCamera {
  const offsetMs = (next() - 0.5) * 7_200_000;
  const rate = ((next() - 0.5) * 2 * PPM) / 1e6;
  const truthMs = (utc: number) => offsetMs + rate * (utc - SIMULATED_C2_MS);
  const photo = (utc: number): ClockPhotograph => {
    const latency = next() * DISPLAY_LATENCY_MS;
    const phaseMs = next() < 0.5 ? 0 : holdMs / 2;
    const shownUtcMs = Math.floor((utc - latency - phaseMs) / holdMs) * holdMs + phaseMs;
    const stampMs = Math.floor((utc + truthMs(utc)) / stepMs) * stepMs;
    return { stampMs, stepMs, shownUtcMs, holdMs, boundMs: 0 };
  };
  const photos = groups.flatMap((when) => {
    const start = SIMULATED_C2_MS + (when === "before" ? -APART_MS : APART_MS) + next() * 60_000;
    return times(next).map((ms) => photo(start + ms));
  });
  return { truthMs, photos };
}

export interface WayFigures {
  cameras: number;
  /** Cameras whose truth at C2 lay outside the stated bound. */
  outside: number;
  p50Ms: number;
  p95Ms: number;
  /** True error at C2, p95. */
  errorP95Ms: number;
}

/** `count` cameras of one way. Throws where nothing fits: a bug. */
export function tryWay(one: Way, count: number, numbersOf: (seed: number) => () => number): WayFigures {
  const widths: number[] = [];
  const errors: number[] = [];
  let outside = 0;
  for (let seed = 1; seed <= count; seed++) {
    const { truthMs, photos } = simulatedCamera(numbersOf(seed), one);
    const clock = solveCameraClock(photos);
    if (!clock) throw new Error(`${one.says}, seed ${seed}: nothing fits`);
    const { offsetMs, boundMs } = offsetAt(clock, SIMULATED_C2_MS);
    const error = Math.abs(offsetMs - truthMs(SIMULATED_C2_MS));
    // A microsecond for the arithmetic of instants of 1.8e12 ms.
    if (error > boundMs + 1e-3) outside++;
    widths.push(boundMs);
    errors.push(error);
  }
  const share = (values: number[], part: number) =>
    values.sort((a, b) => a - b)[Math.min(count - 1, Math.floor(part * count))] as number;
  return {
    cameras: count,
    outside,
    p50Ms: share(widths, 0.5),
    p95Ms: share(widths, 0.95),
    errorP95Ms: share(errors, 0.95),
  };
}
