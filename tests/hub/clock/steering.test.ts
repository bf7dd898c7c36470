import { expect, test } from "vitest";
import { MAX_SLEW_PPM, Steering } from "../../../hub/clock/steering.ts";
import { courseShiftMs } from "../../../shared/sync/samples.ts";
import { monoMs, utcMs } from "../../../shared/time/instants.ts";

const EPOCH = 1_817_200_000_000;

/** Works off `errorMs`; the clock's shift every 500 ms. */
function workOff(errorMs: number, forMs: number) {
  const s = new Steering("a", monoMs(0), utcMs(EPOCH));
  const shifts: number[] = [];
  for (let t = 0; t <= forMs; t += 500) {
    const shift = s.utc(monoMs(t)) - EPOCH - t;
    s.advance(monoMs(t), errorMs - shift);
    shifts.push(shift);
  }
  return { s, shifts };
}

test("a correction of 50 ms is worked off without overshoot worth mentioning and in five minutes", () => {
  const { shifts } = workOff(50, 600_000);
  expect(Math.max(...shifts)).toBeLessThan(50.5);
  expect(Math.abs((shifts[600] ?? 0) - 50)).toBeLessThan(2.5);
  expect(shifts[shifts.length - 1]).toBeCloseTo(50, 1);
});

// Corrections are slewed, at most 500 ppm in a real run
test("no correction, however large, is faster than 500 ppm", () => {
  for (const error of [3000, -3000]) {
    const { shifts } = workOff(error, 120_000);
    for (let k = 1; k < shifts.length; k++)
      expect(Math.abs((shifts[k] as number) - (shifts[k - 1] as number))).toBeLessThanOrEqual(
        500 * MAX_SLEW_PPM * 1e-6 + 1e-3,
      );
  }
});

test("every slew is announced at least ten seconds before it begins", () => {
  const s = new Steering("a", monoMs(0), utcMs(EPOCH));
  const heard: { at: number; utc: number; course: ReturnType<Steering["course"]> }[] = [];
  for (let t = 0; t <= 400_000; t += 500) {
    const shift = s.utc(monoMs(t)) - EPOCH - t;
    s.advance(monoMs(t), (t > 60_000 ? 80 : 0) - shift);
    heard.push({ at: t, utc: s.utc(monoMs(t)), course: s.course(monoMs(t)) });
    const earlier = heard.find((h) => h.at === t - 10_000);
    if (!earlier) continue;
    const told = courseShiftMs(earlier.course, earlier.utc, s.utc(monoMs(t)));
    expect(Math.abs(told - s.course(monoMs(t)).shiftMs)).toBeLessThan(0.01);
  }
});

test("slots that pass without a look make no step", () => {
  const s = new Steering("a", monoMs(0), utcMs(EPOCH));
  for (let t = 0; t <= 60_000; t += 500) s.advance(monoMs(t), 3000);
  const before = s.utc(monoMs(600_000));
  s.advance(monoMs(600_000), 3000);
  expect(s.utc(monoMs(600_000)) - before).toBeCloseTo(0, 3);
});

test("a step is made at once and told in the course", () => {
  const s = new Steering("a", monoMs(0), utcMs(EPOCH));
  s.step(monoMs(1000), -2500);
  expect(s.utc(monoMs(1000)) - EPOCH).toBeCloseTo(-1500, 3);
  expect(s.course(monoMs(1000))).toMatchObject({ shiftMs: -2500, slewPpm: 0, thenPpm: 0, epoch: "a" });
});
