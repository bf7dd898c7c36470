/**
 * A camera's clock from what it says over a cable: simulated cameras with offset, drift and whole seconds, whose
 * truth must lie within what is said of them.
 */
import { expect, test } from "vitest";
import { CABLE_READINGS_MOST, type CableReading } from "../../../../shared/fields/camera-clock.ts";
import { afterReading, type CableWord } from "../../../../shared/images/camera-clock/cable-clock.ts";
import { clockOf } from "../../../../shared/images/camera-clock/known-clock.ts";
import { offsetAt } from "../../../../shared/images/camera-clock/solve.ts";

const START = Date.UTC(2027, 7, 2, 6);
const MIN = 60_000;

/** What the agent makes of a camera that shows whole seconds, asked at an instant, answered so long after. */
function read(utcMs: number, trueOffsetS: number, tookMs: number): CableReading {
  const shownS = Math.floor((utcMs + tookMs / 2) / 1000 + trueOffsetS);
  const [least, most] = [shownS - (utcMs + tookMs) / 1000, shownS + 1 - utcMs / 1000];
  return { utcMs: utcMs + tookMs, offsetS: (least + most) / 2, boundS: (most - least) / 2 + 0.01 };
}

function follow(readings: readonly CableReading[]) {
  let word: CableWord | null = null;
  let odd: CableReading | null = null;
  let words = 0;
  for (const reading of readings) {
    const step = afterReading(word, odd, reading);
    odd = step.odd;
    if (!step.word) continue;
    word = step.word;
    words++;
  }
  return { word: word as CableWord | null, words, odd };
}

test("a day of readings a minute is some words an hour; the truth lies within, and well within a second", () => {
  for (const [offsetS, ppm, seed] of [
    [-3600.4, 12, 1],
    [7203.41, -25, 2],
    [0.2, 38, 3],
    [95_000_000.3, 0, 4],
  ] as const) {
    let random = seed * 7919;
    const next = () => {
      random = (random * 48_271) % 2_147_483_647;
      return random / 2_147_483_647;
    };
    const truth = (utcMs: number) => offsetS + ((utcMs - START) / 1000) * (ppm / 1e6);
    const readings = Array.from({ length: 1440 }, (_, minute) => {
      const at = START + minute * MIN + next() * 1000;
      return read(at, truth(at), 300 + next() * 1500);
    });
    const { word, words } = follow(readings);
    expect(words).toBeLessThanOrEqual(170);
    expect(word?.basis.readings.length).toBeLessThanOrEqual(CABLE_READINGS_MOST);
    const clock = clockOf((word as CableWord).basis, (word as CableWord).zoneMin);
    if (!clock) throw new Error("no clock");
    expect(clock.dropped).toEqual([]);
    for (const minute of [0, 700, 1439]) {
      const { offsetMs, boundMs } = offsetAt(clock, START + minute * MIN);
      expect(Math.abs(offsetMs / 1000 - truth(START + minute * MIN))).toBeLessThanOrEqual(boundMs / 1000);
      expect(boundMs).toBeLessThan(700);
    }
  }
});

test("a slip is passed over; a clock that was set begins anew with its second reading", () => {
  const before = Array.from({ length: 5 }, (_, n) => read(START + n * MIN, 95, 400));
  const slip = read(START + 5 * MIN, 12, 400);
  const passed = follow([...before, slip, read(START + 6 * MIN, 95, 400)]);
  expect(passed.odd).toBeNull();
  expect(Math.abs((passed.word?.basis.readings.at(-1)?.offsetS ?? 0) - 95)).toBeLessThan(1);

  const set = [6, 7].map((n) => read(START + n * MIN, 0.3, 400));
  const anew = follow([...before, ...set]);
  expect(anew.word?.basis.readings).toHaveLength(2);
  const clock = clockOf((anew.word as CableWord).basis, 0);
  if (!clock) throw new Error("no clock");
  const { offsetMs, boundMs } = offsetAt(clock, START + 7 * MIN);
  expect(Math.abs(offsetMs - 300)).toBeLessThanOrEqual(boundMs);
});

test("a reading that comes late changes nothing, and a zone is kept apart", () => {
  const { word } = follow([read(START + MIN, 7203.4, 200)]);
  expect(word).toMatchObject({ zoneMin: 120, basis: { readings: [{ utcMs: START + MIN + 200 }] } });
  expect(afterReading(word, null, read(START, 7203.4, 200))).toEqual({ word: null, odd: null });
  // No zone is so far from UTC: all of it is the camera's fault.
  expect(follow([read(START, 90_000, 200)]).word?.zoneMin).toBe(0);
});
