/**
 * SPEC T1 and T3. The clock in seeded worlds (clock-scenarios.ts): |error| ≤ bound holds in at least 99.9 % of the
 * looks of every scenario, time never goes back, and the times of convergence are stated. The
 * worlds' truth is exact by construction.
 */
import { describe, expect, test } from "vitest";
import { SCENARIOS } from "./clock-scenarios.ts";
import { LINKS, live, score } from "./clock-world.ts";

const SEEDS = [1, 2, 3, 4];
const rate = (seed: number) => ((seed * 37) % 101) - 50;

describe("the bound holds in 99.9 % of looks and time never goes back", () => {
  for (const scenario of SCENARIOS)
    test(scenario.name, () => {
      let held = 0;
      let looks = 0;
      for (const seed of SEEDS) {
        const j = live({ seed, ...scenario.world(seed) });
        expect(j.backwards).toBe(0);
        expect(j.looks.length).toBeGreaterThan(300);
        looks += j.looks.length;
        held += j.looks.filter((l) => Math.abs(l.errorMs) <= l.reading.boundMs).length;
      }
      expect(held / looks).toBeGreaterThanOrEqual(0.999);
    });
});

// DESIGN "Numbers to reach": p95 at 30 s and 5 min, worst after 5 min of hold-over, ms. The links
// here are the rig's profiles without the machine's own noise, so the same numbers must be reached.
const REACH = {
  clean: [0.3, 0.2, 0.7],
  good: [0.8, 0.4, 1.8],
  busy: [1.5, 1, 4],
  awful: [6, 6, 12],
} as const;
describe("errors reach the design's numbers over ten devices of ±50 ppm", () => {
  for (const [name, [at30, at300, worst]] of Object.entries(REACH))
    test(`${name}: ${at30} ms at 30 s, ${at300} ms at 5 min, ${worst} ms after 5 min without the hub`, () => {
      const link = { ...LINKS[name as keyof typeof LINKS], outages: [[300_000, 1e9]] as [number, number][] };
      const journeys = Array.from({ length: 10 }, (_, i) =>
        live({ seed: 100 + i, durationS: 601, link, devicePpm: () => rate(i) }),
      );
      const p95 = (at: number) => {
        const errors = journeys.flatMap((j) => score(j, at - 1, at + 1).worstMs).sort((a, b) => a - b);
        return errors[Math.ceil(errors.length * 0.95) - 1] as number;
      };
      expect(p95(30)).toBeLessThanOrEqual(at30);
      expect(p95(299)).toBeLessThanOrEqual(at300);
      expect(Math.max(...journeys.map((j) => score(j, 595, 601).worstMs))).toBeLessThanOrEqual(worst);
      // and the bound is no wider than half the least delay + 4 × the p95 error (of the same looks)
      const looks = journeys.map((j) => score(j, 60, 300));
      const limit = 4 * Math.max(...looks.map((s) => s.p95Ms));
      if (name !== "clean")
        expect(Math.max(...looks.map((s) => s.widestOverMs))).toBeLessThanOrEqual(limit + 0.6);
    });
});

test("convergence: within 1 ms of the truth 2 s after joining a good link, 5 s a busy one", () => {
  const within = (link: keyof typeof LINKS, s: number) =>
    Array.from({ length: 8 }, (_, i) =>
      score(
        live({ seed: 300 + i, durationS: s + 10, link: LINKS[link], devicePpm: () => rate(i) }),
        s,
        s + 10,
      ),
    );
  for (const r of within("good", 2)) expect(r.worstMs).toBeLessThan(1);
  for (const r of within("busy", 5)) expect(r.p95Ms).toBeLessThan(2.5);
});

test("a clock slewed by 480 ppm on a clean link is noticed at the next poll, and the bound holds again within 10 s", () => {
  for (const seed of SEEDS) {
    const j = live({
      seed,
      durationS: 300,
      link: LINKS.clean,
      devicePpm: (t) => rate(seed) + (t > 150_000 && t < 210_000 ? 480 : 0),
    });
    expect(j.backwards).toBe(0);
    for (const [from, to] of [
      [10, 150],
      [230, 300],
    ] as const)
      expect(score(j, from, to).heldShare).toBeGreaterThanOrEqual(0.999);
    expect(score(j, 160, 210).heldShare).toBeGreaterThan(0.9);
    expect(score(j, 150, 300).worstMs).toBeLessThan(2.5);
  }
});

describe("seeds that broke it", () => {
  test("good link, seed 4: few recent polls fitted a tilted line and the window was cut at 262 s", () => {
    const scenario = SCENARIOS.find((s) => s.name === "good link");
    const j = live({ seed: 4, ...(scenario as (typeof SCENARIOS)[0]).world(4) });
    expect(j.follower.counts.cut).toBe(0);
    expect(score(j, 60, 300).worstMs).toBeLessThan(0.4);
  });

  test("whole milliseconds: the device's clock is half a step late on average, not early", () => {
    for (const seed of SEEDS) {
      const j = live({ seed, durationS: 200, link: LINKS.clean, devicePpm: () => 20, resolutionMs: 1 });
      expect(score(j, 30, 200).heldShare).toBe(1);
      const mean = j.looks.reduce((s, l) => s + l.errorMs, 0) / j.looks.length;
      expect(Math.abs(mean)).toBeLessThan(0.4);
    }
  });
});
