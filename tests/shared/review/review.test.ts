/**
 * A review says what was put in: runs are played with known times, and every score, open time and
 * call is compared with what was planted.
 */
import fc from "fast-check";
import { describe, expect, test } from "vitest";
import type { Rig } from "../../../shared/plan/model/plan.ts";
import { RunReviewer } from "../../../shared/review/review.ts";
import { cueTimeline } from "../../../shared/run/cues/cue-timeline.ts";
import type { SiteEvent } from "../../../shared/run/events.ts";
import { utcMs } from "../../../shared/time/instants.ts";
import { SiteWorld } from "../run/site-world.ts";

/** A practice from C2−180 s; `atRun(s)` is the instant at which the run is s seconds from C2. */
function practice(rate = 1) {
  const world = SiteWorld.planned();
  const start = Date.UTC(2027, 6, 21, 18);
  const runId = world.practise(start, -180, rate);
  const { c2, c3 } = world.predicted;
  const atRun = (s: number) => start + ((s + 180) * 1000) / rate;
  return { world, runId, atRun, totalityS: (c3 - c2) / 1000, c2 };
}
const end = (world: SiteWorld, at: number) => world.order({ type: "endPractice" }, at);
function reviewRun(log: readonly SiteEvent[], runId: string, now: number | null) {
  const reviewer = new RunReviewer(runId);
  for (const event of log) reviewer.take(event);
  return reviewer.review(now === null ? null : utcMs(now));
}
function review(world: SiteWorld, runId: string, now: number | null = null) {
  const found = reviewRun(world.log, runId, now);
  if (!found) throw new Error("no such run");
  return found;
}
const score = (found: ReturnType<typeof review>, rigId: string, cueId: string) =>
  found.cues.find((cue) => cue.rigId === rigId && cue.cueId === cueId);

describe("scores", () => {
  test.each([1, 4])(
    "a filter that came off on time, went on late, and a rig that said nothing (rate %i)",
    (rate) => {
      const { world, runId, atRun, totalityS } = practice(rate);
      world.report("west", { practiceSafe: "capped" } as never, { at: atRun(-170) });
      world.report("west", { filter: "on" }, { at: atRun(-169) });
      // Its cue is at C2−20, from −10 to +30 s; on at C3+5, from −20 to +10.
      world.report("west", { cueDone: "filter-off", filter: "off" }, { at: atRun(-18) });
      world.report("west", { cueDone: "filter-on", filter: "on" }, { at: atRun(totalityS + 25) });
      end(world, atRun(totalityS + 60));
      const found = review(world, runId);
      expect(found.kind).toBe("practice");
      expect(score(found, "west", "filter-off")).toMatchObject({ score: "on time", why: null });
      expect(score(found, "west", "filter-on")).toMatchObject({ score: "late" });
      expect(score(found, "eye", "filter-off")).toMatchObject({
        score: "missed",
        why: "nothing said",
        doneRunMs: null,
      });
      const west = found.filters.find(({ rigId }) => rigId === "west");
      expect(west?.openS).toBeCloseTo(totalityS + 43, 1);
      expect(west?.closedAfterC3S).toBeCloseTo(25, 1);
      // What nobody is asked to confirm is not missed, and what is due later than the end neither.
      expect(found.cues.every(({ action }) => action !== "burst")).toBe(true);
      expect(score(found, "west", "stop")).toBeUndefined();
    },
  );

  test("cues are those of the variant that was in force: what it leaves out is not missed", () => {
    const { world, runId, atRun, totalityS } = practice();
    const overcast = [{ do: "switch", cueId: "filter-off", on: false }] as const;
    const ifRevision = world.state.planParts.rigs.west?.revision ?? 0;
    const west = world.state.plan.rigs.find(({ id }) => id === "west") as Rig;
    const rig = { ...west, variants: { overcast: [...overcast] } };
    world.order({ type: "saveRig", rig, ifRevision }, atRun(-170));
    world.order({ type: "chooseVariant", variant: "overcast", rigIds: ["west"] }, atRun(-160));
    end(world, atRun(totalityS + 60));
    const found = review(world, runId);
    expect(score(found, "west", "filter-off")).toBeUndefined();
    expect(score(found, "west", "filter-on")).toMatchObject({ score: "missed" });
    expect(score(found, "eye", "filter-off")).toMatchObject({ score: "missed" });
  });

  test("skipped and taken back are reasons; the first confirmation counts, and one taken back does not", () => {
    const { world, runId, atRun, totalityS } = practice();
    world.report("west", { cueSkipped: "filter-off" }, { at: atRun(-15) });
    world.report("eye", { cueDone: "filter-off" }, { at: atRun(12) });
    world.report("eye", { cueReopened: "filter-off" }, { at: atRun(14) });
    world.report("west", { cueDone: "filter-on" }, { at: atRun(totalityS + 8) });
    world.report("west", { cueDone: "filter-on" }, { at: atRun(totalityS + 40) });
    end(world, atRun(totalityS + 60));
    const found = review(world, runId);
    expect(score(found, "west", "filter-off")).toMatchObject({ score: "missed", why: "skipped" });
    expect(score(found, "eye", "filter-off")).toMatchObject({ score: "missed", why: "taken back" });
    expect(score(found, "west", "filter-on")).toMatchObject({ score: "on time" });
  });

  test("any confirmation is scored by its window, in whatever order reports arrive", () => {
    fc.assert(
      fc.property(
        fc.array(fc.double({ min: -60, max: 40, noNaN: true }), { minLength: 1, maxLength: 3 }),
        fc.boolean(),
        (times, late) => {
          const { world, runId, atRun } = practice();
          const cue = cueTimeline(world.state.plan.rigs[0] as never, world.contacts(atRun(0))).find(
            ({ id }) => id === "filter-off",
          );
          const sorted = [...times].sort((a, b) => a - b);
          for (const [i, s] of times.entries())
            world.report(
              "west",
              { cueDone: "filter-off" },
              {
                at: Math.round(atRun(s)),
                seq: 100 + i,
                ...(late ? { arrives: atRun(100 - i) } : {}),
              },
            );
          end(world, atRun(120));
          const first = Math.round(atRun(sorted[0] as number));
          const due = atRun(-20);
          const expected = first < due - 10_000 ? "early" : first > due + 30_000 ? "late" : "on time";
          const found = score(review(world, runId), "west", "filter-off");
          expect(found?.score).toBe(expected);
          expect((found?.dueRunMs ?? 0) - (cue?.dueMs ?? 0)).toBe(0);
        },
      ),
      { numRuns: 60 },
    );
  });

  test("a run that goes on: what is due later is not missed yet", () => {
    const { world, runId, atRun } = practice();
    world.report("west", { filter: "on" }, { at: atRun(-100) });
    const found = review(world, runId, atRun(-50));
    expect(score(found, "west", "filter-off")).toBeUndefined();
    expect(score(review(world, runId, atRun(60)), "west", "filter-off")?.score).toBe("missed");
  });
});

describe("filters", () => {
  test("off in two stretches, one still open: the time is their sum", () => {
    const { world, runId, atRun, totalityS } = practice();
    for (const [s, filter] of [
      [-20, "off"],
      [40, "on"],
      [60, "off"],
    ] as const)
      world.report("west", { filter }, { at: atRun(s) });
    end(world, atRun(totalityS + 30));
    const west = review(world, runId).filters.find(({ rigId }) => rigId === "west");
    expect(west?.openS).toBeCloseTo(60 + totalityS + 30 - 60, 1);
    expect(west?.closedAfterC3S).toBeNull();
  });

  test("off holds against another phone's on until somebody has looked (S9)", () => {
    const { world, runId, atRun, totalityS } = practice();
    world.report("west", { filter: "off" }, { at: atRun(0), device: "a" });
    world.report("west", { filter: "on" }, { at: atRun(10), device: "b" });
    world.report("west", { filter: "on", looked: true }, { at: atRun(50), device: "b" });
    end(world, atRun(totalityS + 30));
    expect(review(world, runId).filters[0]?.openS).toBeCloseTo(50, 1);
  });
});

describe("calls, alerts, and which run", () => {
  test("a call is set against the contact it names", () => {
    const { world, runId, atRun, totalityS, c2 } = practice();
    world.order({ type: "call", call: "totality", atRunMs: c2 + 1500 } as never, atRun(1.5));
    world.order({ type: "call", call: "sun returns", atRunMs: c2 } as never, atRun(totalityS - 0.7));
    end(world, atRun(totalityS + 30));
    const { calls } = review(world, runId);
    expect(calls.map(({ call }) => call)).toEqual(["totality", "sun returns"]);
    expect((calls[0]?.atRunMs ?? 0) - (calls[0]?.predictedRunMs ?? 0)).toBeCloseTo(1500, -1);
    expect((calls[1]?.atRunMs ?? 0) - (calls[1]?.predictedRunMs ?? 0)).toBeCloseTo(-700, -1);
  });

  test("alerts are counted by cause, with the worst ten minutes and how long each stood", () => {
    const { world, runId, atRun, totalityS } = practice();
    const alert = (id: string, cause: string, type: "alertRaised" | "alertCleared", at: number) => ({
      ...(world.log.at(-1) as SiteEvent),
      type,
      runId,
      observedUtcMs: at,
      loggedUtcMs: at,
      seq: world.state.seq + 1,
      payload: { id, cause, priority: "danger", rigId: "west", sinceUtcMs: at },
    });
    const log = [
      ...world.log,
      alert("x", "exposed", "alertRaised", atRun(10)),
      alert("x", "exposed", "alertCleared", atRun(22)),
      alert("y", "silent", "alertRaised", atRun(30)),
    ] as SiteEvent[];
    const found = reviewRun(log, runId, null);
    expect(found?.alerts).toMatchObject({
      raised: 2,
      perTenMinutes: 2,
      mostInTenMinutes: 2,
      byCause: { exposed: 1, silent: 1 },
    });
    expect(found?.alerts.longest[0]).toEqual({ cause: "exposed", rigId: "west", stoodS: 12 });
    expect(totalityS).toBeGreaterThan(100);
  });

  test("a plan that is changed after the end changes nothing, and an unknown run is none", () => {
    const { world, runId, atRun, totalityS } = practice();
    world.report("west", { cueDone: "filter-off" }, { at: atRun(-18) });
    end(world, atRun(totalityS + 60));
    const before = review(world, runId);
    const plan = { ...world.state.plan, rigs: world.state.plan.rigs.filter(({ id }) => id !== "west") };
    world.order({ type: "savePlan", draft: plan, ifRevision: plan.revision }, atRun(900));
    expect(review(world, runId)).toEqual(before);
    expect(reviewRun(world.log, "practice-none", null)).toBeNull();
    expect(reviewRun(world.log, "__proto__", null)).toBeNull();
  });
});
