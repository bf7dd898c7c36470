/**
 * Exchanges recorded on the network rig (tests/fixtures/clock/README.md), replayed. The truth is
 * known from the kernel's clock. Compared with the clock filter of RFC 5905 section 10 (the sample
 * of least delay among the last eight; eight stages from memory of the standard).
 */
import { readFileSync } from "node:fs";
import { expect, test } from "vitest";
import { ClockFollower } from "../../../shared/sync/follower.ts";
import { type ClockSample, sampleDelayMs } from "../../../shared/sync/samples.ts";
import { monoMs, utcMs } from "../../../shared/time/instants.ts";

/** Offset hub − device in ms; RFC 5905 section 8. */
const sampleOffsetMs = (s: ClockSample): number => (s.t2 - s.t1 + (s.t3 - s.t4)) / 2;

const EPOCH = 1_817_200_000_000;

function replay(profile: string) {
  const file = new URL(`../../fixtures/clock/${profile}.json`, import.meta.url);
  const { ppm, kernelAtZeroMs, exchanges } = JSON.parse(readFileSync(file, "utf8")) as {
    ppm: number;
    kernelAtZeroMs: number;
    exchanges: [number, number, number, number][];
  };
  const truth = (t: number) => EPOCH + kernelAtZeroMs + t / (1 + ppm * 1e-6);
  const samples: ClockSample[] = exchanges
    .map(([t1, t2, t3, t4]) => ({
      t1: monoMs(t1),
      t2: utcMs(EPOCH + t2),
      t3: utcMs(EPOCH + t3),
      t4: monoMs(t4),
      hubBoundMs: 1,
    }))
    .sort((a, b) => a.t4 - b.t4);
  const follower = new ClockFollower();
  const looks: { t: number; error: number; bound: number; filter: number }[] = [];
  let next = 0;
  let least = Number.POSITIVE_INFINITY;
  const lastEight: ClockSample[] = [];
  for (let t = 500; t < 125_000; t += 250) {
    for (let s = samples[next]; s && s.t4 <= t; s = samples[++next]) {
      follower.addSample(s);
      least = Math.min(least, sampleDelayMs(s));
      lastEight.push(s);
      if (lastEight.length > 8) lastEight.shift();
    }
    const r = follower.read(monoMs(t));
    if (!r) continue;
    const best = lastEight.reduce((a, b) => (sampleDelayMs(b) < sampleDelayMs(a) ? b : a));
    looks.push({
      t,
      error: r.utcMs - truth(t),
      bound: r.boundMs,
      filter: t + sampleOffsetMs(best) - truth(t),
    });
  }
  const p95 = (key: "error" | "filter", from: number, to: number) => {
    const v = looks.filter((l) => l.t >= from && l.t < to).map((l) => Math.abs(l[key]));
    return v.sort((a, b) => a - b)[Math.floor(v.length * 0.95)] as number;
  };
  return { looks, p95, least, refused: follower.counts.refused };
}

// DESIGN "Numbers to reach": 30 s and 5 min; at two minutes the half-way between is asked
const REACH = { clean: [0.3, 0.25], good: [0.8, 0.6], busy: [1.5, 1.25], awful: [6, 6], outage: [0.8, 0.6] };

for (const [profile, [at30, later]] of Object.entries(REACH) as [string, [number, number]][]) {
  test(`${profile}: the recorded exchanges give ${at30} ms after 30 s, and the bound always holds`, () => {
    const { looks, p95, refused } = replay(profile);
    expect(looks.length).toBeGreaterThan(480);
    expect(refused).toBe(0);
    expect(p95("error", 29_000, 31_100)).toBeLessThanOrEqual(at30);
    expect(p95("error", 115_000, 125_000)).toBeLessThanOrEqual(later);
    expect(looks.filter((l) => Math.abs(l.error) > l.bound)).toEqual([]);
  });

  test(`${profile}: no worse than the filter of RFC 5905 over the whole recording`, () => {
    const { p95 } = replay(profile);
    expect(p95("error", 10_000, 125_000)).toBeLessThanOrEqual(p95("filter", 10_000, 125_000));
  });

  // DESIGN: "no wider than half the least delay + 4 × the p95 error", with the p95 to reach at 30 s
  test(`${profile}: the bound is no wider than half the least delay and four times the p95 error`, () => {
    const { looks, least } = replay(profile);
    const limit = least / 2 + 4 * at30;
    const wide = looks.filter((l) => l.t > 30_000 && l.t < 85_000 && l.bound > limit);
    expect(wide.length).toBe(0);
  });
}
