/** S5. The limits (1 s, 30 s, the last minute) are common practice, no source. */
import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { cueTimeline } from "../../../../shared/run/cue-timeline.ts";
import { decide } from "../../../../shared/run/decide.ts";
import { doubtAt, filterOffReleased, GOOD_CLOCK } from "../../../../shared/run/doubt.ts";
import { utcMs } from "../../../../shared/time/instants.ts";
import { draft, PALM_FIELD, SiteWorld } from "../site-world.ts";

const S = 1000;
const NOW = Date.UTC(2027, 6, 25);

const reasons = (world: SiteWorld, at: number) => world.view(at).doubt.reasons;

describe("S5: reasons of doubt", () => {
  test("none when all is well", () => {
    const world = SiteWorld.planned();
    expect(world.view(NOW).doubt).toEqual({ reasons: [], byS: 0 });
  });

  test("a clock bound over 1 s: device and hub added up in the real run, the device alone in practice", () => {
    const world = SiteWorld.planned();
    world.clock = { ...GOOD_CLOCK, boundMs: 600, hubBoundMs: 401 };
    expect(reasons(world, NOW)).toEqual(["clock bound"]);
    world.clock = { ...GOOD_CLOCK, boundMs: 600, hubBoundMs: 400 };
    expect(reasons(world, NOW)).toEqual([]);
    world.clock = { ...GOOD_CLOCK, boundMs: 600, hubBoundMs: 9000 };
    world.practise(NOW);
    expect(reasons(world, NOW)).toEqual([]);
    world.clock = { ...GOOD_CLOCK, boundMs: 1001 };
    expect(reasons(world, NOW)).toEqual(["clock bound"]);
  });

  test("a disputed clock, a laptop that slept, a site nobody confirmed", () => {
    const world = SiteWorld.planned({ site: { ...PALM_FIELD, confirmed: false } });
    world.clock = { ...GOOD_CLOCK, disputed: true, slept: true };
    expect(reasons(world, NOW)).toEqual(["clock disputed", "laptop slept", "site unconfirmed"]);
  });

  test("a site known worse than 30 s of contact", () => {
    const world = SiteWorld.planned();
    const known = (timingBoundS: number) =>
      doubtAt(
        { ...world.state, circumstances: { ...world.state.circumstances, timingBoundS } as never },
        world.view(NOW).run,
        GOOD_CLOCK,
        utcMs(NOW),
      ).reasons;
    expect(known(30)).toEqual([]);
    expect(known(30.1)).toEqual(["place uncertain"]);
  });

  test("a prediction revised or a place changed, for a minute", () => {
    const world = SiteWorld.planned();
    world.practise(NOW);
    world.order({ type: "shiftContact", contact: "c2", shiftS: 2 }, NOW + 5 * S);
    expect(reasons(world, NOW + 64.9 * S)).toEqual(["prediction revised"]);
    expect(reasons(world, NOW + 65 * S)).toEqual([]);
    const moved = SiteWorld.planned({}, NOW - 600 * S);
    const elsewhere = draft({ site: { ...PALM_FIELD, latDeg: 25.6 } });
    moved.order({ type: "savePlan", draft: elsewhere, ifRevision: 1 }, NOW);
    expect(reasons(moved, NOW + 59 * S)).toEqual(["place changed"]);
    expect(reasons(moved, NOW + 60 * S)).toEqual([]);
  });

  test("other times at the same place are a revised prediction", () => {
    const world = SiteWorld.planned({}, NOW - 600 * S);
    const context = world.context(NOW);
    const solve: typeof context.solve = (...of) => {
      const found = context.solve(...of);
      return found && { ...found, limb: { c2ShiftS: -4, c3ShiftS: -1 } as never };
    };
    const decided = decide(
      world.state,
      { type: "savePlan", draft: draft({ limb: false }), ifRevision: 1 },
      { ...context, solve },
    );
    if (!("events" in decided)) throw new Error("refused");
    world.take(decided.events, NOW);
    expect(reasons(world, NOW + 59 * S)).toEqual(["prediction revised"]);
    expect(reasons(world, NOW + 60 * S)).toEqual([]);
  });

  test("a C2 shifted far ahead of the prediction, as long as the shift stands", () => {
    const world = SiteWorld.planned();
    world.practise(NOW);
    world.order({ type: "shiftContact", contact: "c2", shiftS: -10 }, NOW);
    expect(reasons(world, NOW + 61 * S)).toEqual([]);
    world.order({ type: "shiftContact", contact: "c2", shiftS: -60 }, NOW + 2 * S);
    expect(reasons(world, NOW + 3600 * S)).toEqual(["prediction revised"]);
    world.order({ type: "shiftContact", contact: "c2", shiftS: 0 }, NOW + 4000 * S);
    expect(reasons(world, NOW + 4061 * S)).toEqual([]);
  });

  test("the first place of a site is no change, nor is a plan saved with the place it had", () => {
    const world = SiteWorld.planned({}, NOW);
    expect(reasons(world, NOW + S)).toEqual([]);
    world.order({ type: "savePlan", draft: draft({ group: "Renamed" }), ifRevision: 1 }, NOW + 2 * S);
    expect(reasons(world, NOW + 3 * S)).toEqual([]);
  });

  test("a call to stay filtered, until it is taken back", () => {
    const world = SiteWorld.planned();
    world.practise(NOW);
    world.order({ type: "call", call: "stay filtered" }, NOW + S);
    expect(reasons(world, NOW + 600 * S)).toEqual(["called off"]);
    const callId = world.view(NOW + 2 * S).run.calls[0]?.callId ?? "";
    world.order({ type: "takeBackCall", callId }, NOW + 3 * S);
    expect(reasons(world, NOW + 4 * S)).toEqual([]);
  });

  test("of two calls to stay filtered one taken back leaves the other standing", () => {
    const world = SiteWorld.planned();
    world.practise(NOW);
    world.order({ type: "call", call: "stay filtered" }, NOW + S);
    world.order({ type: "call", call: "stay filtered" }, NOW + 2 * S);
    const second = world.view(NOW + 3 * S).run.calls[1]?.callId ?? "";
    world.order({ type: "takeBackCall", callId: second }, NOW + 4 * S);
    expect(reasons(world, NOW + 5 * S)).toEqual(["called off"]);
  });

  test("under doubt a filter-off is released by eye only", () => {
    const world = SiteWorld.planned({ site: { ...PALM_FIELD, confirmed: false } });
    const { doubt } = world.view(NOW);
    expect(filterOffReleased(doubt, false)).toBe(false);
    expect(filterOffReleased(doubt, true)).toBe(true);
    expect(filterOffReleased({ reasons: [], byS: 0 }, false)).toBe(true);
  });
});

describe("S5: doubt never delays what makes safe", () => {
  const world = SiteWorld.planned();
  world.practise(NOW);
  const contacts = world.contacts(NOW);
  const due = (rigId: string, cueId: string, doubtS: number) =>
    cueTimeline(world.rig(rigId, NOW).rig, contacts, doubtS).find((cue) => cue.id === cueId)?.dueMs ??
    Number.NaN;

  test.each([
    ["west", "filter-on"],
    ["eye", "filter-on"],
    ["eye", "eyes-away"],
    ["wide", "glasses-on"],
  ])("%s: %s comes forward by the doubt", (rigId, cueId) => {
    expect(due(rigId, cueId, 7)).toBe(due(rigId, cueId, 0) - 7 * S);
  });

  test("a filter-off does not move with it: it is withheld", () => {
    expect(due("west", "filter-off", 7)).toBe(due("west", "filter-off", 0));
  });

  test("but not before C2, where a filter that never came off needs no putting on", () => {
    for (const [rigId, cueId] of [
      ["west", "filter-on"],
      ["eye", "eyes-away"],
    ] as const) {
      const c2 = contacts.c2 ?? Number.NaN;
      expect(due(rigId, cueId, 3600)).toBe(c2);
      expect(due(rigId, cueId, 120)).toBe(due(rigId, cueId, 0) - 120 * S);
    }
  });

  test("the doubt of a clock is its bound, of a place its bound, an hour at most", () => {
    const site = SiteWorld.planned();
    site.practise(NOW);
    site.clock = { ...GOOD_CLOCK, boundMs: 4200 };
    expect(site.view(NOW).doubt.byS).toBeCloseTo(4.2, 9);
    site.clock = { ...GOOD_CLOCK, boundMs: 90_000 };
    expect(site.view(NOW).doubt.byS).toBe(90);
    site.clock = { ...GOOD_CLOCK, boundMs: 1e7 };
    expect(site.view(NOW).doubt.byS).toBe(3600);
    site.clock = { ...GOOD_CLOCK, boundMs: Number.POSITIVE_INFINITY };
    expect(site.view(NOW).doubt.byS).toBe(3600);
  });

  test("whatever is shifted and called, no filter-on comes later than predicted", () => {
    const order = fc.oneof(
      fc.record({
        type: fc.constant("shiftContact" as const),
        contact: fc.constantFrom("c2" as const, "max" as const, "c3" as const),
        shiftS: fc.integer({ min: -600, max: 600 }),
      }),
      fc.record({
        type: fc.constant("call" as const),
        call: fc.constantFrom("totality" as const, "sun returns" as const, "stay filtered" as const),
      }),
    );
    fc.assert(
      fc.property(fc.array(fc.tuple(order, fc.integer({ min: 1, max: 90 })), { maxLength: 8 }), (orders) => {
        const site = SiteWorld.planned();
        site.practise(NOW, -10);
        const before = site.predicted.c3 + 5 * S;
        let now = NOW;
        for (const [item, waitS] of orders) {
          now += waitS * S;
          site.order(item, now);
        }
        const cue = site.rig("west", now).cues.find((found) => found.id === "filter-on");
        expect(cue?.dueMs).toBeLessThanOrEqual(before);
      }),
      { numRuns: 150 },
    );
  });
});
