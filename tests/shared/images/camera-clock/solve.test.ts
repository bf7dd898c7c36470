/**
 * Camera clocks against simulated cameras whose clocks are known exactly. The stated half-widths are
 * held to the figures that were measured on a prototype (ms, p50 and p95, given beside each row); the
 * world: ±15 ppm, groups an hour and a half before and after, display latency 0–80 ms.
 */
import { describe, expect, it } from "vitest";
import {
  type ClockPhotograph,
  DISPLAY_LATENCY_MS,
} from "../../../../shared/images/camera-clock/photographs.ts";
import {
  offsetAt,
  solveCameraClock,
  utcOfStamp,
  zoneAndRest,
} from "../../../../shared/images/camera-clock/solve.ts";
import { numbersFrom } from "../../../support/random.ts";

const C2 = Date.UTC(2027, 7, 2, 10, 2, 8);
const APART_MS = 1.5 * 3_600_000;

interface Way {
  stepMs: number;
  holdMs: number;
  /** Instants after the group's beginning, ms. */
  times: (next: () => number) => number[];
  groups?: ("before" | "after")[];
}

function camera(seed: number, way: Way) {
  const next = numbersFrom(seed);
  const offsetMs = (next() - 0.5) * 7_200_000;
  const rate = ((next() - 0.5) * 2 * 15) / 1e6;
  const truth = (utc: number) => offsetMs + rate * (utc - C2);
  const photo = (utc: number): ClockPhotograph => {
    const latency = next() * DISPLAY_LATENCY_MS;
    // Two panels that change alternately, every `holdMs` each: one or the other is read.
    const phaseMs = next() < 0.5 ? 0 : way.holdMs / 2;
    const shownUtcMs = Math.floor((utc - latency - phaseMs) / way.holdMs) * way.holdMs + phaseMs;
    const stampMs = Math.floor((utc + truth(utc)) / way.stepMs) * way.stepMs;
    return { stampMs, stepMs: way.stepMs, shownUtcMs, holdMs: way.holdMs, boundMs: 0 };
  };
  const photos = (way.groups ?? ["before", "after"]).flatMap((when) => {
    const start = C2 + (when === "before" ? -APART_MS : APART_MS) + next() * 60_000;
    return way.times(next).map((ms) => photo(start + ms));
  });
  return { truth, photos, next };
}

/** No shutter runs like a clock: each frame comes within a fifth of its beat. */
const burst = (lengthMs: number, perS: number) => (next: () => number) =>
  Array.from(
    { length: Math.round((lengthMs / 1000) * perS) },
    (_, i) => ((i + (next() - 0.5) * 0.4) * 1000) / perS,
  );
const some = (count: number) => (next: () => number) => Array.from({ length: count }, () => next() * 60_000);

const ROWS: [string, Way, number, number][] = [
  ["1 s stamps, one at each end", { stepMs: 1000, holdMs: 200, times: some(1) }, 635, 876],
  ["1 s, ten at random moments at each end", { stepMs: 1000, holdMs: 200, times: some(10) }, 235, 310],
  ["1 s, a burst of 3 s at 8/s at each end", { stepMs: 1000, holdMs: 200, times: burst(3000, 8) }, 160, 210],
  ["1 s, a burst of 6 s, fast panels", { stepMs: 1000, holdMs: 100, times: burst(6000, 8) }, 108, 132],
  ["0.01 s stamps, five at each end", { stepMs: 10, holdMs: 200, times: some(5) }, 105, 122],
  ["0.01 s, three at each end, fast panels", { stepMs: 10, holdMs: 100, times: some(3) }, 83, 95],
  ["a burst after only", { stepMs: 1000, holdMs: 200, times: burst(3000, 8), groups: ["after"] }, 376, 426],
];

describe("two thousand cameras", () => {
  it.each(ROWS)("%s: the truth is inside, half-widths as measured", (_, way, p50, p95) => {
    const widths: number[] = [];
    let outside = 0;
    for (let seed = 1; seed <= 2000; seed++) {
      const { truth, photos } = camera(seed, way);
      const clock = solveCameraClock(photos);
      if (!clock) throw new Error(`seed ${seed}: nothing fits`);
      const { offsetMs, boundMs } = offsetAt(clock, C2);
      if (Math.abs(offsetMs - truth(C2)) > boundMs + 1e-6) outside++;
      widths.push(boundMs);
    }
    widths.sort((a, b) => a - b);
    expect(outside).toBeLessThanOrEqual(2);
    // A twentieth more for another generator of chance.
    expect(widths[1000]).toBeLessThanOrEqual(p50 * 1.05);
    expect(widths[1900]).toBeLessThanOrEqual(p95 * 1.05);
  });

  it("one planted frame three seconds off is dropped, in every one of them", () => {
    for (let seed = 1; seed <= 500; seed++) {
      const { truth, photos, next } = camera(seed, { stepMs: 1000, holdMs: 200, times: some(5) });
      const wrong = Math.floor(next() * photos.length);
      const planted = photos.map((one, i) =>
        i === wrong ? { ...one, stampMs: one.stampMs + (next() < 0.5 ? 3000 : -3000) } : one,
      );
      const clock = solveCameraClock(planted);
      expect(clock?.dropped).toEqual([wrong]);
      const { offsetMs, boundMs } = offsetAt(clock as never, C2);
      expect(Math.abs(offsetMs - truth(C2))).toBeLessThanOrEqual(boundMs + 1e-6);
    }
  });
});

describe("by hand", () => {
  const photo = (stampMs: number, shownUtcMs: number, more = {}): ClockPhotograph => ({
    stampMs,
    stepMs: 10,
    shownUtcMs,
    holdMs: 200,
    boundMs: 0,
    ...more,
  });

  it("one photograph bounds the offset by step, hold and display", () => {
    // Camera − UTC from 5000 − 280 to 5000 + 10: the middle is 4865, within 145 ms.
    const clock = solveCameraClock([photo(C2 + 5000, C2)]);
    const { offsetMs, boundMs } = offsetAt(clock as never, C2 + 140);
    expect(offsetMs).toBeCloseTo(4865, 6);
    expect(boundMs).toBeCloseTo(145, 6);
    // An hour on, a crystal of 40 ppm adds 144 ms.
    expect(offsetAt(clock as never, C2 + 140 + 3_600_000).boundMs).toBeCloseTo(289, 3);
  });

  it("a frame's stamp becomes UTC with the bound and its own step", () => {
    const clock = solveCameraClock([photo(C2 + 5000, C2)]);
    const { utcMs, boundMs } = utcOfStamp(clock as never, C2 + 5000, 1000);
    expect(utcMs).toBeCloseTo(C2 + 135 + 500, 1);
    expect(boundMs).toBeCloseTo(645, 0);
  });

  it("two groups that contradict each other beyond any crystal: the larger one stands", () => {
    const before = [photo(C2, C2), photo(C2 + 60_000, C2 + 60_000), photo(C2 + 90_000, C2 + 90_000)];
    const after = [photo(C2 + 7_200_000 + 90_000, C2 + 7_200_000)];
    expect(solveCameraClock([...before, ...after])).toMatchObject({ used: [0, 1, 2], dropped: [3] });
  });

  it("without a photograph nothing is known", () => expect(solveCameraClock([])).toBeNull());

  it("a time zone is a whole number of quarter-hours, apart from the offset", () => {
    expect(zoneAndRest(3 * 3_600_000 + 3410)).toEqual({ zoneMin: 180, restMs: 3410 });
    expect(zoneAndRest(-(5.75 * 3_600_000) - 800)).toEqual({ zoneMin: -345, restMs: -800 });
    expect(zoneAndRest(1200)).toEqual({ zoneMin: 0, restMs: 1200 });
  });
});
