import { expect, test } from "vitest";
import {
  type ClockSample,
  courseShiftMs,
  SLEW_SLOT_MS,
  sampleDelayMs,
  sampleFault,
} from "../../../shared/sync/samples.ts";
import { monoMs, utcMs } from "../../../shared/time/instants.ts";

const sample = (t1: number, t2: number, t3: number, t4: number): ClockSample => ({
  t1: monoMs(t1),
  t2: utcMs(t2),
  t3: utcMs(t3),
  t4: monoMs(t4),
  hubBoundMs: 1,
});

// RFC 5905 section 8: delta = (T4-T1)-(T3-T2)
test("the delay follows RFC 5905 section 8", () => {
  // up 30 ms, 5 ms at the hub, down 10 ms, hub 1000 ms ahead: worked by hand
  const s = sample(100, 1130, 1135, 145);
  expect(sampleDelayMs(s)).toBe(40);
});

test("impossible exchanges are told apart by their fault", () => {
  expect(sampleFault(sample(0, 10, 11, 20))).toBeNull();
  expect(sampleFault({ ...sample(0, 10, 11, 20), hubBoundMs: Number.NaN })).toBe("notFinite");
  expect(sampleFault({ ...sample(0, 10, 11, 20), hubBoundMs: -1 })).toBe("notFinite");
  expect(sampleFault(sample(20, 10, 11, 19))).toBe("deviceBackwards");
  expect(sampleFault(sample(0, 11, 10, 20))).toBe("hubBackwards");
  expect(sampleFault(sample(0, 10, 40, 20))).toBe("negativeDelay");
  expect(sampleFault(sample(0, 10, 11, 20_000))).toBe("tooSlow");
});

test("rounding of both clocks does not make an exchange impossible", () => {
  expect(sampleFault(sample(0, 10, 10.3, 0.25))).toBeNull();
});

test("the announced course is followed through this slot and the next, then held", () => {
  const course = { epoch: "a", shiftMs: 7, slewPpm: 500, untilUtcMs: 10_000, thenPpm: -100 };
  expect(courseShiftMs(course, 4000, 4000)).toBe(7);
  expect(courseShiftMs(course, 4000, 10_000)).toBeCloseTo(7 + 3, 9); // 6 s at 500 ppm
  expect(courseShiftMs(course, 4000, 10_000 + SLEW_SLOT_MS)).toBeCloseTo(10 - 2, 9); // 20 s at −100 ppm
  expect(courseShiftMs(course, 4000, 1e9)).toBeCloseTo(8, 9);
  expect(courseShiftMs(undefined, 0, 5)).toBe(0);
});
