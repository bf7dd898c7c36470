/**
 * Repeats: one expansion for plan and run, and a refusal where it would be too long. The limits
 * (200 of a cue, 1000 of a rig) are ours.
 */

import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { cueOccurrencesMs } from "../../../../shared/plan/cue-times.ts";
import { NO_ECLIPSE } from "../../../../shared/plan/local-eclipse.ts";
import type { Cue } from "../../../../shared/plan/model/cue.ts";
import { EMPTY_PLAN } from "../../../../shared/plan/model/empty-plan.ts";
import { PlanSchema } from "../../../../shared/plan/model/plan.ts";
import { CUE_ANCHORS } from "../../../../shared/plan/model/vocabulary.ts";
import { checkPlan } from "../../../../shared/plan/safety/check-plan.ts";
import { settlePlan } from "../../../../shared/plan/settle-plan.ts";
import { cueTimeline } from "../../../../shared/run/cues/cue-timeline.ts";
import { parse } from "../../../../shared/run/orders/commands.ts";
import { runMs, type UtcMs } from "../../../../shared/time/instants.ts";
import { C2_MS, ownCue, planOf, rigOf, totalSite } from "../sites-and-rigs.ts";

const site = totalSite(180, 4500);
const every = (everyS: number, anchor: Cue["anchor"], offsetS: number): Cue["repeat"] => ({
  everyS,
  until: { anchor, offsetS },
});
/** From C2 on, so many times, five seconds apart. */
const times = (count: number, rest: Partial<Cue> = {}): Cue =>
  ownCue({ repeat: every(5, "C2", (count - 1) * 5), ...rest });
const found = (...cues: Cue[]) => checkPlan(planOf(rigOf("tripod-camera", { cues })), site);

/** The run's contacts as they are when nothing was shifted or called, with the place's moments. */
const onRunTime = (at: UtcMs | null) => (at === null ? null : runMs(at));
const { c1, c2, max, c3, c4 } = site.contacts;
const predicted = {
  c1: onRunTime(c1),
  c2: onRunTime(c2),
  max: onRunTime(max),
  c3: onRunTime(c3),
  c4: onRunTime(c4),
};
const runTimes = {
  ...predicted,
  filterC2: predicted.c2,
  filterC3: predicted.c3,
  plannedC2: predicted.c2,
  predicted,
};
const moments = {
  sunLost: runMs(C2_MS - 900_000),
  sunBack: runMs(C2_MS + 900_000),
  beadsC2: runMs(C2_MS - 6000),
  beadsC3: runMs(C2_MS + 185_000),
  sunrise: runMs(C2_MS - 9_000_000),
  sunset: runMs(C2_MS + 4_000_000),
};

describe("the repeats of a cue", () => {
  test("are the same instants in a plan's check and in a run", () => {
    const anyCue = fc
      .record({
        anchor: fc.constantFrom(...CUE_ANCHORS),
        offsetS: fc.integer({ min: -4000, max: 4000 }),
        everyS: fc.integer({ min: 5, max: 3600 }),
        until: fc.record({
          anchor: fc.constantFrom(...CUE_ANCHORS),
          offsetS: fc.integer({ min: -4000, max: 4000 }),
        }),
      })
      .map(({ everyS, until, ...rest }) => ownCue({ ...rest, repeat: { everyS, until } }));
    fc.assert(
      fc.property(anyCue, fc.boolean(), (cue, known) => {
        const contacts = { ...runTimes, ...(known ? moments : {}) };
        const run = cueTimeline({ cues: [cue] }, contacts).map(({ dueMs }) => dueMs);
        expect(run).toEqual(cueOccurrencesMs(cue, contacts));
        for (const [i, ms] of run.slice(1).entries())
          expect(ms - run[i]!).toBe((cue.repeat?.everyS ?? 0) * 1000);
        expect(run.length).toBeLessThanOrEqual(200);
      }),
      { seed: 20270802, numRuns: 2000 },
    );
  });

  test("end where they are said to end, that instant included", () => {
    const cue = ownCue({ offsetS: 10, repeat: every(20, "C2", 70) });
    const s = cueOccurrencesMs(cue, site.contacts).map((ms) => (ms - C2_MS) / 1000);
    expect(s).toEqual([10, 30, 50, 70]);
  });

  test("may be 200, and 201 are refused with the field to change", () => {
    expect(found(times(200))).toEqual([]);
    expect(found(ownCue({ id: "first" }), times(201))).toMatchObject([
      {
        rule: "plan",
        severity: "blocks",
        code: "too-many-repeats",
        cueId: "own",
        field: "rigs.0.cues.1.repeat.everyS",
        data: { rig: "Rig one", id: "own", count: 201, most: 200 },
      },
    ]);
  });

  test("of a reminder every 5 s from C1 to C4 are refused, which a phone would have dropped after 17 minutes", () => {
    const cue = ownCue({ anchor: "C1", repeat: every(5, "C4", 0) });
    expect(cueOccurrencesMs(cue, site.contacts)).toHaveLength(200);
    expect(found(cue)).toMatchObject([{ code: "too-many-repeats", data: { count: 1 + 9180 / 5 } }]);
    const rigs = [rigOf("tripod-camera", { cues: [cue] })];
    expect(settlePlan({ ...EMPTY_PLAN, rigs }, EMPTY_PLAN, site, NO_ECLIPSE)).toMatchObject({
      refusal: { code: "too-many-repeats", field: "rigs.0.cues.0.repeat.everyS" },
    });
  });

  test("of all cues of a rig may be 1000 together, and 1001 are refused at the one that comes most often", () => {
    const five = (last: number) =>
      [1, 2, 3, 4, 5].map((n) => times(n === 3 ? last : 200, { id: `own-${n}` }));
    expect(found(...five(200))).toEqual([]);
    const six = [...five(199), times(2, { id: "last" })];
    expect(found(...six)).toMatchObject([
      {
        rule: "plan",
        code: "too-many-repeats-in-all",
        field: "rigs.0.cues.0.repeat.everyS",
        data: { id: "own-1", count: 1001, most: 1000 },
      },
    ]);
    expect(found(...six.map((cue) => ({ ...cue, on: cue.id !== "own-2" })))).toEqual([]);
  });

  test("until a moment that nobody knows yet count as late as it can be: half an hour after C4", () => {
    // From C2 to C4 + 30 min are 6480 s here: 199 intervals of 32.5 s at most.
    expect(found(ownCue({ repeat: every(33, "sunLost", 0) }))).toEqual([]);
    expect(found(ownCue({ repeat: every(32, "sunLost", 0) }))).toMatchObject([
      { code: "too-many-repeats", data: { count: 203 } },
    ]);
    // From half an hour before C1 to C2: 6300 s.
    expect(found(ownCue({ anchor: "sunBack", repeat: every(31, "C2", 0) }))).toMatchObject([
      { code: "too-many-repeats", data: { count: 204 } },
    ]);
  });

  test("that are too many in a plan of long ago do not keep it from loading, and end at 200 in the run", () => {
    const plan = planOf(
      rigOf("tripod-camera", { cues: [ownCue({ anchor: "C1", repeat: every(5, "C4", 0) })] }),
    );
    const loaded = parse(PlanSchema, JSON.parse(JSON.stringify(plan)));
    expect(loaded).toEqual({ ok: true, value: plan });
    expect(cueTimeline(plan.rigs[0]!, runTimes)).toHaveLength(200);
  });
});
