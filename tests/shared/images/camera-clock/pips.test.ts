/**
 * A video's sound against the pips of a count-in, on synthetic recordings: where it began is known
 * exactly. 8 kHz mono, a phone four metres away, wind and a voice over it.
 */
import { describe, expect, it } from "vitest";
import { matchPips, type Pip, pipLoudness } from "../../../../shared/images/camera-clock/pips.ts";
import { numbersFrom } from "../../../support/random.ts";

const RATE = 8000;
const C2 = Date.UTC(2027, 7, 2, 10, 2, 8);
/** A telescope's count-ins about a totality of three minutes; the last two are not in the recordings. */
const PIPS: Pip[] = [
  { due: -20, from: 10 },
  { due: -12, from: 5 },
  { due: 8, from: 3 },
  { due: 108, from: 3 },
  { due: 171, from: 5 },
].flatMap(({ due, from }) => [
  ...Array.from({ length: from }, (_, i) => ({ atUtcMs: C2 + (due - from + i) * 1000, lengthMs: 100 })),
  { atUtcMs: C2 + due * 1000, lengthMs: 500 },
]);

interface World {
  startUtcMs: number;
  seconds: number;
  /** Loudness of a pip where the microphone stands, and of the wind. */
  pip: number;
  wind: number;
  delayMs?: number;
  voice?: boolean;
}

function recording(seed: number, { startUtcMs, seconds, pip, wind, delayMs = 12, voice = false }: World) {
  const next = numbersFrom(seed);
  const samples = new Float32Array(seconds * RATE);
  let rumble = 0;
  for (let i = 0; i < samples.length; i++) {
    const white = next() + next() - 1;
    // Wind is mostly low: a one-pole filter, with some hiss.
    rumble = 0.97 * rumble + 0.03 * white;
    samples[i] = wind * (6 * rumble + 0.3 * white);
    if (voice && Math.floor(i / RATE) % 3 === 0)
      samples[i] =
        (samples[i] as number) + 0.1 * Math.sin((2 * Math.PI * 220 * i) / RATE) * Math.sin((6 * i) / RATE);
  }
  for (const { atUtcMs, lengthMs } of PIPS) {
    const from = Math.round(((atUtcMs + delayMs - startUtcMs) / 1000) * RATE);
    for (let i = 0; i < (lengthMs / 1000) * RATE; i++) {
      const at = from + i;
      if (at >= 0 && at < samples.length)
        samples[at] = (samples[at] as number) + pip * Math.sin((2 * Math.PI * 1000 * i) / RATE);
    }
  }
  return samples;
}

const begins = C2 - 40_000 + 123.4;
const world: World = { startUtcMs: begins, seconds: 60, pip: 0.3, wind: 0.05 };
/** The camera's clock is some seconds off: where it is looked for. */
const match = (samples: Float32Array, wrongMs = 3410, reachMs = 10_000, clockBoundMs = 0) =>
  matchPips(pipLoudness(samples, RATE), PIPS, begins + wrongMs, reachMs, clockBoundMs);

describe("a video's sound", () => {
  it.each<[string, Partial<World>]>([
    ["in quiet", {}],
    ["in wind as loud as the pips", { wind: 0.3 }],
    ["with somebody talking", { voice: true }],
    ["from ten metres away", { delayMs: 29, pip: 0.1 }],
    ["beside the phone", { delayMs: 0 }],
    ["cut off before the third count-in", { seconds: 35 }],
  ])("is placed on UTC to some hundredths of a second %s", (_how, change) => {
    for (let seed = 1; seed <= 2; seed++) {
      const found = match(recording(seed, { ...world, ...change }));
      expect(found).not.toBeNull();
      const { utcMs, holdMs, boundMs, peak, next } = found as NonNullable<typeof found>;
      expect(begins).toBeGreaterThanOrEqual(utcMs - boundMs);
      expect(begins).toBeLessThanOrEqual(utcMs + holdMs + boundMs);
      // Sound travels forward in time only: what is found is early by the delay, within 8 ms of fit.
      expect(Math.abs(begins - (change.delayMs ?? 12) - utcMs)).toBeLessThanOrEqual(8);
      expect(peak).toBeGreaterThan(1.25 * next);
    }
  });

  it("carries the phone's own bound, and a curve with its peak in the middle", () => {
    const found = match(recording(1, world), -2000, 10_000, 20);
    expect(found?.boundMs).toBe(55);
    const top = Math.max(...(found?.curve.map(({ value }) => value) ?? []));
    expect(found?.curve.find(({ value }) => value === top)?.ms).toBe(0);
  });

  it.each<[string, Partial<World>]>([
    ["without pips", { pip: 0 }],
    ["drowned in wind", { wind: 6, pip: 0.05 }],
    ["too short for a count-in", { seconds: 16, startUtcMs: begins }],
  ])("gives nothing %s", (_how, change) => {
    for (let seed = 1; seed <= 2; seed++) expect(match(recording(seed, { ...world, ...change }))).toBeNull();
  });

  it("gives nothing where it is looked for in the wrong place", () => {
    expect(match(recording(1, world), 60_000, 5000)).toBeNull();
  });
});
