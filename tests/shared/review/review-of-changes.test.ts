/**
 * A run in which the plan, the sky, the place or the contacts change on the way: every cue is judged as it
 * stood when it was done, or when its window ended; what a rig did before it was taken out is kept.
 */
import fc from "fast-check";
import { describe, expect, test } from "vitest";
import type { Rig } from "../../../shared/plan/model/plan.ts";
import { PracticesReviewer, type Review, RunReviewer } from "../../../shared/review/review.ts";
import { utcMs } from "../../../shared/time/instants.ts";
import { SiteWorld } from "../run/site-world.ts";

const START = Date.UTC(2027, 6, 21, 18);

/** A practice from C2−180 s; `atRun(s)` is the instant at which the run is s seconds from C2. */
function practice(rate = 1, offsetS = -180) {
  const world = SiteWorld.planned();
  const runId = world.practise(START, offsetS, rate);
  const { c2, c3 } = world.predicted;
  const atRun = (s: number) => START + ((s - offsetS) * 1000) / rate;
  return { world, runId, atRun, totalityS: (c3 - c2) / 1000 };
}
function reviewed(world: SiteWorld, runId: string, now: number | null = null): Review {
  const reviewer = new RunReviewer(runId);
  for (const event of world.log) reviewer.take(event);
  const review = reviewer.review(now === null ? null : utcMs(now));
  if (!review) throw new Error("no such run");
  return review;
}
const cueOf = (review: Review, rigId: string, cueId: string) =>
  review.cues.find((cue) => cue.rigId === rigId && cue.cueId === cueId);
const filterOf = (review: Review, rigId: string) => review.filters.find((one) => one.rigId === rigId);
const rigOf = (world: SiteWorld, id: string) => world.state.plan.rigs.find((rig) => rig.id === id) as Rig;
const revisionOf = (world: SiteWorld, id: string) => world.state.planParts.rigs[id]?.revision ?? 0;
const end = (world: SiteWorld, at: number) => world.order({ type: "endPractice" }, at);

describe("a plan that changes in a run", () => {
  test("a rig that is taken out keeps what it did; what was due later is nobody's miss", () => {
    const { world, runId, atRun, totalityS } = practice();
    world.report("west", { cueDone: "filter-off", filter: "off" }, { at: atRun(-18) });
    world.report("west", { filter: "on" }, { at: atRun(30) });
    world.order({ type: "removeRig", rigId: "west", ifRevision: revisionOf(world, "west") }, atRun(40));
    end(world, atRun(totalityS + 60));
    const review = reviewed(world, runId);
    expect(cueOf(review, "west", "filter-off")?.score).toBe("on time");
    expect(cueOf(review, "west", "filter-on")).toBeUndefined();
    expect(filterOf(review, "west")?.openS).toBeCloseTo(48, 1);
    expect(review.rigs.find(({ id }) => id === "west")?.name).toBe("West telescope");
  });

  test("a rig that comes in misses nothing that was over before it came", () => {
    const { world, runId, atRun, totalityS } = practice();
    const { cues: _cues, ...west } = rigOf(world, "west");
    const second = { ...west, id: "second", name: "Second telescope" };
    world.order({ type: "saveRig", rig: second, ifRevision: 0 }, atRun(60));
    end(world, atRun(totalityS + 60));
    const review = reviewed(world, runId);
    expect(cueOf(review, "second", "filter-off")).toBeUndefined();
    expect(cueOf(review, "second", "filter-on")).toMatchObject({ score: "missed", why: "nothing said" });
    expect(cueOf(review, "west", "filter-off")).toMatchObject({ score: "missed" });
  });

  test("another sky that is chosen later takes nothing back of what was done or missed before", () => {
    const { world, runId, atRun, totalityS } = practice();
    const overcast = [{ do: "switch", cueId: "filter-off", on: false }] as const;
    for (const id of ["west", "eye"]) {
      const rig = { ...rigOf(world, id), variants: { overcast: [...overcast] } };
      const saved = world.order({ type: "saveRig", rig, ifRevision: revisionOf(world, id) }, atRun(-170));
      expect("refusal" in saved && saved.refusal).toBe(false);
    }
    world.report("west", { cueDone: "filter-off" }, { at: atRun(-18) });
    world.order({ type: "chooseVariant", variant: "overcast", rigIds: null }, atRun(100));
    end(world, atRun(totalityS + 60));
    const review = reviewed(world, runId);
    expect(cueOf(review, "west", "filter-off")).toMatchObject({ score: "on time" });
    expect(cueOf(review, "eye", "filter-off")).toMatchObject({ score: "missed" });
  });

  test("two skies, one after the other: a cue is judged by the one in force when it was done", () => {
    const { world, runId, atRun, totalityS } = practice();
    const overcast = [{ do: "move", cueId: "filter-off", byS: 10 }] as const;
    for (const id of ["west", "eye"]) {
      const rig = { ...rigOf(world, id), variants: { thin: [...overcast] } };
      const saved = world.order({ type: "saveRig", rig, ifRevision: revisionOf(world, id) }, atRun(-170));
      expect("refusal" in saved && saved.refusal).toBe(false);
    }
    const before = reviewed(world, runId, atRun(totalityS));
    world.report("west", { cueDone: "filter-off" }, { at: atRun(-20) });
    world.order({ type: "chooseVariant", variant: "thin", rigIds: null }, atRun(-15));
    world.report("eye", { cueDone: "filter-off" }, { at: atRun(21) });
    end(world, atRun(totalityS + 60));
    const review = reviewed(world, runId);
    const due = (of: Review, rigId: string) => cueOf(of, rigId, "filter-off")?.dueRunMs ?? 0;
    expect(due(review, "west") - due(before, "west")).toBe(0);
    expect(due(review, "eye") - due(before, "eye")).toBe(10_000);
  });

  test("a shift moves only what was ahead of it", () => {
    const { world, runId, atRun, totalityS } = practice();
    const planned = reviewed(world, runId, atRun(totalityS + 60));
    world.report("west", { cueDone: "filter-off" }, { at: atRun(-18) });
    world.order({ type: "shiftContact", contact: "c2", shiftS: 40 }, atRun(-5));
    world.order({ type: "shiftContact", contact: "c3", shiftS: -7.3 }, atRun(20));
    end(world, atRun(totalityS + 60));
    const review = reviewed(world, runId);
    const moved = (rigId: string, cueId: string) =>
      (cueOf(review, rigId, cueId)?.dueRunMs ?? 0) - (cueOf(planned, rigId, cueId)?.dueRunMs ?? 0);
    expect(cueOf(review, "west", "filter-off")?.score).toBe("on time");
    expect(moved("west", "filter-off")).toBe(0);
    expect(moved("eye", "filter-off")).toBe(40_000);
    expect(moved("west", "filter-on")).toBe(-7300);
  });

  test("after the eclipse a plan is edited, a rig packed away, the place moved: the real run stays as it was", () => {
    const world = SiteWorld.planned();
    const { c2, c3, c4 } = world.predicted;
    const runId = world.state.realRunId;
    world.report("west", { filter: "on", looked: true }, { at: c2 - 600_000 });
    world.report("west", { cueDone: "filter-off" }, { at: c2 - 15_000 });
    world.report("west", { cueDone: "filter-on" }, { at: c3 + 9000 });
    const evening = c4 + 6 * 3_600_000;
    const before = reviewed(world, runId, evening);
    expect(cueOf(before, "west", "filter-off")?.score).toBe("on time");
    expect(filterOf(before, "west")?.closedAfterC3S).toBeCloseTo(9, 1);
    world.order({ type: "removeRig", rigId: "eye", ifRevision: revisionOf(world, "eye") }, evening + 1000);
    world.order({ type: "removeRig", rigId: "west", ifRevision: revisionOf(world, "west") }, evening + 1000);
    const { plan } = world.state;
    const site = { ...(plan.site as NonNullable<typeof plan.site>), latDeg: 24.5, lonDeg: 33.9, zone: "" };
    const part = { group: plan.group, eclipse: plan.eclipse, site, limb: plan.limb };
    const moved = world.order(
      { type: "saveSite", part, ifRevision: world.state.planParts.site?.revision ?? 0 },
      evening + 2000,
    );
    expect("refusal" in moved && moved.refusal).toBe(false);
    const after = reviewed(world, runId, evening + 3000);
    expect(after.cues).toEqual(before.cues);
    expect(after.filters).toEqual(before.filters);
    expect(after.contacts).toEqual(before.contacts);
    expect(new Set(after.rigs.map(({ id }) => id))).toEqual(new Set(before.rigs.map(({ id }) => id)));
  });
});

describe("the end of a run", () => {
  test("is when it ended: words that were observed after it make nothing due, and nothing missed", () => {
    const { world, runId, atRun, totalityS } = practice();
    world.report("west", { cueDone: "filter-off", filter: "off" }, { at: atRun(-18) });
    end(world, atRun(40));
    const before = reviewed(world, runId);
    // A phone that was out of reach went on with the practice by itself.
    const at = atRun(totalityS + 8);
    world.report("west", { cueDone: "filter-on", filter: "on" }, { at, runId, arrives: at + 60_000 });
    const after = reviewed(world, runId);
    expect(after.untilRunMs).toBe(before.untilRunMs);
    expect(cueOf(after, "eye", "filter-on")).toBeUndefined();
    expect(cueOf(after, "west", "filter-on")?.score).toBe("on time");
    expect(filterOf(after, "west")?.closedAfterC3S).toBeCloseTo(8, 1);
  });

  test("is at its limit, also where a hub that was off ended it a day later", () => {
    const { world, runId, atRun } = practice();
    world.report("west", { cueDone: "filter-off", filter: "off" }, { at: atRun(-18) });
    const { practice: on } = world.state;
    const programmeEnd = (on?.endsAtUtcMs ?? 0) as number;
    end(world, programmeEnd + 20 * 3_600_000);
    expect(reviewed(world, runId).untilRunMs - (on?.startRunMs ?? 0)).toBe(programmeEnd - START);
  });

  test("an open filter that nobody spoke of again counts to an hour after the last contact, not for days", () => {
    const world = SiteWorld.planned();
    const { c2, c4 } = world.predicted;
    world.report("west", { filter: "off" }, { at: c2 });
    const review = reviewed(world, world.state.realRunId, c4 + 3 * 86_400_000);
    expect(filterOf(review, "west")?.openS).toBeCloseTo((c4 - c2) / 1000 + 3600, 0);
  });

  test("a report without a run's name that arrives after the end is of the run that was on when it happened", () => {
    const { world, runId, atRun, totalityS } = practice(4);
    end(world, atRun(totalityS + 60));
    world.report("west", { cueDone: "filter-off" }, { at: atRun(-16), arrives: atRun(totalityS + 400) });
    expect(world.log.at(-1)?.runId).toBe(runId);
    expect(cueOf(reviewed(world, runId), "west", "filter-off")?.score).toBe("on time");
    // And one of after it is of the real run.
    const later = atRun(totalityS + 80);
    world.report("west", { filter: "on" }, { at: later, arrives: later });
    expect(world.log.at(-1)?.runId).toBe(world.state.realRunId);
  });
});

test("a run of which nothing was said is known, and empty; of a name that is none nothing is known", () => {
  const world = SiteWorld.planned();
  const { runs, realRunId } = world.state;
  const review = reviewed(world, realRunId, START);
  expect(review).toMatchObject({ runId: realRunId, kind: "real", cues: [], calls: [] });
  expect(review.filters.map(({ openS }) => openS)).toEqual([0, 0, 0]);
  expect(Object.keys(runs)).toContain(realRunId);
  const unplanned = new RunReviewer("real-unplanned").review(utcMs(START));
  expect(unplanned).toMatchObject({ kind: "real", cues: [], filters: [], rigs: [] });
  expect(new RunReviewer("practice-none").review(utcMs(START))).toBeNull();
});

test("a lead who did a cue in the operator's place is named with it", () => {
  const { world, runId, atRun } = practice();
  world.report("west", { cueDone: "filter-off" }, { at: atRun(-12), device: "phone" });
  world.order({ type: "markCue", rigId: "eye", cueId: "filter-off", mark: "done" }, atRun(25));
  end(world, atRun(60));
  const review = reviewed(world, runId);
  expect(cueOf(review, "eye", "filter-off")).toMatchObject({ score: "on time", inPlaceBy: "lead:Ada" });
  expect(cueOf(review, "west", "filter-off")?.inPlaceBy).toBeNull();
});

test("the rate of alerts of a practice is over all of it, not from its first alert on", () => {
  const { world, runId, atRun } = practice(1, -3600);
  const alert = (s: number) => {
    const payload = {
      id: `help:${s}`,
      cause: "help",
      priority: "caution",
      rigId: "west",
      sinceUtcMs: atRun(s),
    };
    const template = world.log.at(-1);
    world.take([{ ...template, runId, type: "alertRaised", v: 1, payload } as never], atRun(s));
  };
  for (const s of [-200, -190, -180]) alert(s);
  end(world, atRun(0));
  // Three in an hour.
  expect(reviewed(world, runId).alerts).toMatchObject({ raised: 3, perTenMinutes: 0.5, mostInTenMinutes: 3 });
});

test("in sunlight is what lies outside totality and the rig's own allowance (S1, S3, S4)", () => {
  const { world, runId, atRun, totalityS } = practice();
  const said = (rigId: string, offS: number, onS: number) => {
    world.report(rigId, { filter: "off" }, { at: atRun(offS) });
    world.report(rigId, { filter: "on" }, { at: atRun(onS) });
  };
  // 480 mm, nobody looks through: from C2−30 to C3+15.
  said("west", -40, totalityS + 92);
  // Looked through: from C2+10 to C3−10, and in totality nothing is in sunlight.
  said("eye", 15, totalityS + 4);
  end(world, atRun(totalityS + 120));
  const review = reviewed(world, runId);
  expect(filterOf(review, "west")?.sunlitS).toBeCloseTo(10 + 77, 1);
  expect(filterOf(review, "eye")?.sunlitS).toBeCloseTo(4, 1);
  expect(filterOf(review, "wide")?.sunlitS).toBe(0);
});

test("whatever changes on the way: scores and open time are those that were put in, alone and side by side", () => {
  fc.assert(
    fc.property(
      fc.integer({ min: 1, max: 8 }),
      // Not on the edge of a window: reports have whole milliseconds, contacts have not.
      fc.array(
        fc.integer({ min: -29, max: 9 }).map((s) => s + 0.4),
        { minLength: 2, maxLength: 2 },
      ),
      fc.array(fc.integer({ min: -14, max: 40 }), { minLength: 2, maxLength: 2 }),
      fc.array(
        fc.record({
          s: fc.integer({ min: 50, max: 120 }),
          what: fc.constantFrom("remove", "overcast", "c2"),
        }),
        { maxLength: 3 },
      ),
      (rate, offs, ons, changes) => {
        const { world, runId, atRun, totalityS } = practice(rate);
        const ids = ["west", "eye"] as const;
        const opens: Record<string, number> = { west: -20, eye: 10 };
        for (const [n, id] of ids.entries())
          world.report(
            id,
            { cueDone: "filter-off", filter: "off" },
            { at: Math.round(atRun((opens[id] as number) + (offs[n] as number))) },
          );
        for (const { s, what } of [...changes].sort((a, b) => a.s - b.s)) {
          const at = atRun(s);
          if (what === "remove" && world.state.plan.rigs.some(({ id }) => id === "wide"))
            world.order({ type: "removeRig", rigId: "wide", ifRevision: revisionOf(world, "wide") }, at);
          if (what === "overcast")
            world.order({ type: "chooseVariant", variant: "overcast", rigIds: ["west"] }, at);
          if (what === "c2") world.order({ type: "shiftContact", contact: "c2", shiftS: 30 }, at);
        }
        for (const [n, id] of ids.entries())
          world.report(id, { filter: "on" }, { at: Math.round(atRun(totalityS + (ons[n] as number))) });
        end(world, atRun(totalityS + 100));
        const review = reviewed(world, runId);
        for (const [n, id] of ids.entries()) {
          const off = offs[n] as number;
          const judged = cueOf(review, id, "filter-off");
          const [from, to] = [
            (judged?.fromRunMs ?? 0) - (judged?.dueRunMs ?? 0),
            (judged?.toRunMs ?? 0) - (judged?.dueRunMs ?? 0),
          ];
          expect((judged?.doneRunMs ?? 0) - (judged?.dueRunMs ?? 0)).toBeCloseTo(off * 1000, -1);
          expect(judged?.score).toBe(off * 1000 < from ? "early" : off * 1000 > to ? "late" : "on time");
          expect(filterOf(review, id)?.openS).toBeCloseTo(
            totalityS + (ons[n] as number) - (opens[id] as number) - off,
            1,
          );
          expect(filterOf(review, id)?.closedAfterC3S).toBeCloseTo(ons[n] as number, 1);
        }
        const reviewer = new PracticesReviewer();
        for (const event of world.log) reviewer.take(event);
        expect(reviewer.reviews(utcMs(atRun(totalityS + 900)))).toEqual([review]);
      },
    ),
    { numRuns: 40 },
  );
});
