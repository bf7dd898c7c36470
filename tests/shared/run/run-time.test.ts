/** SPEC R9. */
import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { currentRun, practiceAt, runTime, utcOfRun } from "../../../shared/run/run-time.ts";
import { runMs, utcMs } from "../../../shared/time/instants.ts";
import { SiteWorld } from "./site-world.ts";

const NOW = Date.UTC(2027, 6, 25);

describe("R9: run time", () => {
  test("is UTC in a real run", () => {
    expect(runTime(null, utcMs(NOW))).toBe(NOW);
    expect(utcOfRun(null, runMs(NOW))).toBe(NOW);
  });

  test("starts a practice at its offset from the anchor and passes at its rate", () => {
    const world = SiteWorld.planned();
    const { c2 } = world.predicted;
    world.practise(NOW, -180, 4);
    const practice = practiceAt(world.state, utcMs(NOW));
    expect(runTime(practice, utcMs(NOW))).toBe(c2 - 180_000);
    expect(runTime(practice, utcMs(NOW + 45_000))).toBe(c2);
    expect(utcOfRun(practice, runMs(c2))).toBe(NOW + 45_000);
  });

  test("goes both ways within a thousandth of a millisecond", () => {
    const world = SiteWorld.planned();
    fc.assert(
      fc.property(
        fc.integer({ min: -14_400, max: 14_400 }),
        fc.double({ min: 1, max: 20, noNaN: true }),
        fc.double({ min: 0, max: 4e7, noNaN: true }),
        (offsetS, rate, afterMs) => {
          world.practise(NOW, offsetS, rate);
          const practice = world.state.practice;
          const at = utcMs(NOW + afterMs);
          // Doubles near 1.8e12 step by 0.24 µs; a rate of 20 makes 5 µs of it.
          expect(Math.abs(utcOfRun(practice, runTime(practice, at)) - at)).toBeLessThan(0.001);
        },
      ),
      { numRuns: 200 },
    );
  });

  test("a practice is over at its own end, whether or not anybody has said so", () => {
    const world = SiteWorld.planned();
    const runId = world.practise(NOW);
    const end = world.state.practice?.endsAtUtcMs ?? 0;
    expect(currentRun(world.state, utcMs(end - 1)).runId).toBe(runId);
    expect(currentRun(world.state, utcMs(end)).kind).toBe("real");
  });
});
