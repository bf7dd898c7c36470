/**
 * Camera clocks against simulated cameras whose clocks are known exactly. The stated half-widths are
 * held to the figures that were measured on a prototype (ms, p50 and p95, given beside each row); the
 * world: ±15 ppm, groups an hour and a half before and after, display latency 0–80 ms.
 */
import { describe, expect, it } from "vitest";
import {
  SIMULATED_C2_MS,
  simulatedCamera,
  tryWay,
  WAYS,
  type Way,
} from "../../../../hub/people/simulated-camera.ts";
import type { ClockPhotograph } from "../../../../shared/images/camera-clock/photographs.ts";
import {
  offsetAt,
  solveCameraClock,
  utcOfStamp,
  zoneAndRest,
} from "../../../../shared/images/camera-clock/solve.ts";
import { numbersFrom } from "../../../support/random.ts";

const C2 = SIMULATED_C2_MS;
/** A small version; `npm run bench -- camera-clocks` takes two thousand of each. */
const CAMERAS = 300;

describe("simulated cameras", () => {
  it.each(WAYS)("$says: the truth is inside, half-widths as measured", (way) => {
    const { outside, p50Ms, p95Ms } = tryWay(way, CAMERAS, numbersFrom);
    expect(outside).toBe(0);
    // A tenth more for three hundred instead of two thousand, and another generator of chance.
    expect(p50Ms).toBeLessThanOrEqual(way.p50Ms * 1.1);
    expect(p95Ms).toBeLessThanOrEqual(way.p95Ms * 1.1);
  });

  it("one planted frame three seconds off is dropped, in every one of them", () => {
    const five = {
      ...(WAYS[1] as Way),
      times: (next: () => number) => Array.from({ length: 5 }, () => next() * 60_000),
    };
    for (let seed = 1; seed <= CAMERAS; seed++) {
      const next = numbersFrom(seed);
      const { truthMs, photos } = simulatedCamera(next, five);
      const wrong = Math.floor(next() * photos.length);
      const planted = photos.map((one, i) =>
        i === wrong ? { ...one, stampMs: one.stampMs + (next() < 0.5 ? 3000 : -3000) } : one,
      );
      const clock = solveCameraClock(planted);
      expect(clock?.dropped).toEqual([wrong]);
      const { offsetMs, boundMs } = offsetAt(clock as never, C2);
      expect(Math.abs(offsetMs - truthMs(C2))).toBeLessThanOrEqual(boundMs + 1e-3);
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
