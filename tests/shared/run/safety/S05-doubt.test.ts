/** S5. The limits (1 s, 30 s, the last minute) are common practice, no source. */
import fc from "fast-check";
import { describe, expect, test } from "vitest";
import type { Site } from "../../../../shared/plan/model/plan.ts";
import { cueTimeline } from "../../../../shared/run/cues/cue-timeline.ts";
import { timesByTheClock } from "../../../../shared/run/cues/rig-times.ts";
import { doubtAt, GOOD_CLOCK, safeC3 } from "../../../../shared/run/doubt.ts";
import { decide } from "../../../../shared/run/orders/decide.ts";
import { runMs, utcMs } from "../../../../shared/time/instants.ts";
import { draft, PALM_FIELD, SiteWorld } from "../site-world.ts";

const S = 1000;
const NOW = Date.UTC(2027, 6, 25);

const reasons = (world: SiteWorld, at: number) => world.view(at).doubt.reasons;

describe("S5: reasons of doubt", () => {
  test("none when all is well", () => {
    const world = SiteWorld.planned();
    expect(world.view(NOW).doubt).toMatchObject({ reasons: [], byS: 0 });
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
    world.order({ type: "shiftContact", contact: "c2", shiftS: -60 }, NOW + 62 * S);
    expect(reasons(world, NOW + 125 * S)).toEqual(["prediction revised"]);
    world.order({ type: "shiftContact", contact: "c2", shiftS: 0 }, NOW + 130 * S);
    expect(reasons(world, NOW + 191 * S)).toEqual([]);
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

  test("a place whose contacts are known no better than half of totality, however short it is", () => {
    // At a path's edge an outside check found 7.8 s of totality, known to ±17 s, without a doubt.
    const world = SiteWorld.planned({ site: { ...PALM_FIELD, latDeg: 24.415, lonDeg: 32.64 } });
    const { lengthS } = world.view(NOW).doubt;
    const known = (timingBoundS: number) => {
      const circumstances = { ...world.state.circumstances, timingBoundS } as never;
      return doubtAt({ ...world.state, circumstances }, world.view(NOW).run, GOOD_CLOCK, utcMs(NOW)).reasons;
    };
    expect(lengthS).toBeLessThan(50);
    expect(known(0.49 * lengthS)).toEqual([]);
    expect(known(0.5 * lengthS)).toEqual(["place uncertain"]);
  });

  test("a step, a source or a witness that says the hub is off by more than a second", () => {
    const world = SiteWorld.planned();
    world.clock = { ...GOOD_CLOCK, apartMs: 1001 };
    expect(reasons(world, NOW)).toEqual(["clock disputed"]);
    world.clock = { ...GOOD_CLOCK, apartMs: 1000 };
    expect(reasons(world, NOW)).toEqual([]);
    // A practice hangs on the hub's own clock.
    world.clock = { ...GOOD_CLOCK, apartMs: 90_000 };
    world.practise(NOW);
    expect(reasons(world, NOW)).toEqual([]);
  });
});

describe("S5: doubt never delays what makes safe", () => {
  const world = SiteWorld.planned();
  world.practise(NOW);
  const contacts = world.contacts(NOW);
  const due = (rigId: string, cueId: string, doubtS: number) =>
    cueTimeline(world.rig(rigId, NOW).rig, contacts, {
      ...timesByTheClock(contacts),
      safeC3: runMs((contacts.filterC3 ?? 0) - doubtS * S),
      earlierS: doubtS,
    }).find((cue) => cue.id === cueId)?.dueMs ?? Number.NaN;

  test.each([
    ["west", "filter-on"],
    ["eye", "filter-on"],
    ["eye", "eyes-away"],
    ["wide", "glasses-on"],
    ["west", "burst-after"],
  ])("%s: %s comes forward by the doubt", (rigId, cueId) => {
    expect(due(rigId, cueId, 7)).toBe(due(rigId, cueId, 0) - 7 * S);
  });

  test("a filter-off does not move with it: it is withheld", () => {
    expect(due("west", "filter-off", 7)).toBe(due("west", "filter-off", 0));
  });

  test("but not before the filter was to come off: one that never came off needs no putting on", () => {
    const c2 = contacts.c2 ?? Number.NaN;
    for (const [rigId, cueId, opensMs] of [
      ["west", "filter-on", c2],
      // S3: the eyepiece's filter comes off at C2+10 s.
      ["eye", "eyes-away", c2 + 10 * S],
      ["eye", "filter-on", c2 + 10 * S],
    ] as const) {
      expect(due(rigId, cueId, 3600)).toBe(opensMs);
      expect(due(rigId, cueId, 120)).toBe(due(rigId, cueId, 0) - 120 * S);
    }
  });

  test("is one figure: the place and the worst of the clock, totality's length at most", () => {
    const site = SiteWorld.planned();
    const { lengthS } = site.view(NOW).doubt;
    const placeS = site.state.circumstances?.timingBoundS ?? 0;
    const byS = (clock: Partial<typeof GOOD_CLOCK>) => {
      site.clock = { ...GOOD_CLOCK, ...clock };
      return site.view(NOW).doubt.byS;
    };
    expect(byS({ boundMs: 4000, hubBoundMs: 200 })).toBeCloseTo(placeS + 4.2, 9);
    expect(byS({ hubBoundMs: 90_000 })).toBeCloseTo(placeS + 90, 9);
    expect(byS({ hubBoundMs: 300, apartMs: 90_000 })).toBeCloseTo(placeS + 90, 9);
    expect(byS({ hubBoundMs: 30_000, apartMs: 20_000 })).toBeCloseTo(placeS + 30, 9);
    expect(byS({ hubBoundMs: 1e7 })).toBe(lengthS);
    expect(byS({ boundMs: Number.POSITIVE_INFINITY })).toBe(lengthS);
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

describe("S5: a place saved in totality", () => {
  /** Totality begins and ends some three minutes later there. */
  const later = { name: "Down the path", latDeg: 24.9, lonDeg: 33.6, heightM: 80 };
  const moved = (world: SiteWorld, site: object, now: number) => {
    const { plan } = world.state;
    const part = { ...plan, site: { ...plan.site, ...site } as Site };
    return decide(
      world.state,
      { type: "savePlan", draft: part, ifRevision: plan.revision },
      world.context(now),
    );
  };
  const refused = { refusal: { code: "safety-rule", rule: "S5", field: "site", data: { rigId: "west" } } };

  test("delays no filter-on of a filter that is off, or may be", () => {
    for (const word of ["off", "on"] as const) {
      const world = SiteWorld.planned();
      const { c2, c3 } = world.predicted;
      world.report("west", { filter: word }, { at: c2 - 60 * S });
      for (const at of [c2 + 200 * S, c3 - S, c3 + 10 * S])
        expect(moved(world, later, at)).toMatchObject(refused);
      // Said on since, nothing waits for a cue.
      world.report("west", { filter: "on", looked: true }, { at: c3 - 60 * S });
      expect(moved(world, later, c3 - 30 * S)).toHaveProperty("events");
    }
  });

  test("puts no Sun below the horizon over a filter that may be off: nothing would call it on", () => {
    const world = SiteWorld.planned();
    const { c2, c3, c4 } = world.predicted;
    world.report("west", { filter: "off" }, { at: c2 - 10 * S });
    // Ten at night there.
    const south = { name: "South Head", latDeg: -33.8, lonDeg: 151.3, heightM: 0 };
    for (const at of [c2 + 120 * S, c3 + 60 * S])
      expect(moved(world, south, at)).toMatchObject({
        refusal: { ...refused.refusal, data: { reason: "sun-down" } },
      });
    const { plan } = world.state;
    const without = { type: "savePlan" as const, draft: { ...plan, site: null }, ifRevision: plan.revision };
    expect(decide(world.state, without, world.context(c3 - S))).toMatchObject({ refusal: { rule: "S5" } });
    expect(moved(world, south, c4 + 12 * 3600 * S)).toHaveProperty("events");
  });

  test("is taken where its totality ends earlier, or has not begun: then filters are called on", () => {
    const world = SiteWorld.planned({ site: later });
    const { c2, c3 } = world.predicted;
    world.report("west", { filter: "off" }, { at: c2 - 10 * S });
    expect(moved(world, PALM_FIELD, c3 - 200 * S)).toHaveProperty("events");
    const early = SiteWorld.planned();
    early.report("west", { filter: "off" }, { at: early.predicted.c2 - 10 * S });
    const now = early.predicted.c2 + 5 * S;
    expect(now).toBeLessThan(c2);
    const decision = moved(early, later, now);
    if ("refusal" in decision) throw new Error(decision.refusal.message);
    early.take(decision.events, now);
    expect(early.rig("west", now + S)).toMatchObject({
      exposed: true,
      cueNow: { cue: { action: "filter-on" } },
    });
  });
});

describe("S5: a call of totality by eye settles most of the doubt", () => {
  const world = SiteWorld.planned();
  const { c2, c3 } = world.predicted;
  const contacts = world.contacts(NOW);
  const doubt = {
    reasons: ["clock bound" as const],
    byS: 90,
    figureS: 90,
    eyeEarlyS: 90,
    lengthS: (c3 - c2) / S,
    lengthOpenS: 2,
  };

  test("to the call's distance from predicted C2 plus 5 s", () => {
    expect(safeC3(contacts, doubt, [])).toBe(c3 - 90 * S);
    // The earlier of C3 less 25 s, and the call + length less 5 s and what the place leaves open.
    expect(safeC3(contacts, doubt, [runMs(c2 + 20 * S)])).toBeCloseTo(c3 - 25 * S, 3);
    expect(safeC3(contacts, doubt, [runMs(c2)])).toBeCloseTo(c3 - 7 * S, 3);
    expect(safeC3(contacts, doubt, [runMs(c2 - 60 * S)])).toBeCloseTo(c3 - 67 * S, 3);
    // Without a doubt the prediction stands, within what it is known to.
    const sure = { ...doubt, byS: 0, reasons: [] };
    expect(safeC3(contacts, { ...sure, figureS: 1.5 }, [runMs(c2)])).toBe(c3);
    expect(safeC3(contacts, { ...sure, figureS: 4 }, [runMs(c2)])).toBeCloseTo(c3 - 4 * S, 3);
    expect(safeC3(contacts, { ...sure, figureS: 25 }, [runMs(c2)])).toBeCloseTo(c3 - 7 * S, 3);
    expect(safeC3(contacts, { ...sure, figureS: 1.5 }, [runMs(c2 - 3 * S)])).toBeCloseTo(c3 - 3 * S, 3);
  });

  test("and what only a doubt let in stays doubtful when the doubt has gone", () => {
    const gone = { ...doubt, byS: 0, reasons: [] };
    expect(safeC3(contacts, gone, [runMs(c2 - 60 * S)])).toBeCloseTo(c3 - 67 * S, 3);
  });

  test("whatever the clock's error, the place and the eye's 5 s: it is never after the true C3", () => {
    const real = fc.double({ noNaN: true, min: 0, max: 1 });
    fc.assert(
      fc.property(
        fc.double({ noNaN: true, min: -90, max: 90 }),
        fc.double({ noNaN: true, min: -5, max: 5 }),
        real,
        fc.double({ noNaN: true, min: 0, max: 20 }),
        (errorS, eyeS, shorter, lengthOpenS) => {
          // On the hub's clock the true C2 comes at c2 + error; the true length is up to lengthOpenS shorter.
          const trueC2 = c2 + errorS * S;
          const trueC3 = trueC2 + (c3 - c2) - shorter * lengthOpenS * S;
          const found = safeC3(contacts, { ...doubt, lengthOpenS }, [runMs(trueC2 + eyeS * S)]) ?? 0;
          expect(found).toBeLessThanOrEqual(trueC3 + 1);
        },
      ),
      { numRuns: 2000 },
    );
  });

  test("for an operator's own word, too: a witness who leaves takes nothing back of what was seen", () => {
    // The hub is 60 s slow and one phone says so. Totality is seen, and then that phone goes home.
    const slow = SiteWorld.planned();
    slow.clock = { ...GOOD_CLOCK, apartMs: 60_500 };
    const seen = c2 - 60 * S;
    slow.report("west", { filter: "off", sawTotality: true }, { at: seen });
    const due = () => slow.rig("west", seen + 20 * S).cues.find(({ id }) => id === "filter-on")?.dueMs ?? 0;
    const byTheEye = seen + (c3 - c2) + 5 * S;
    expect(due()).toBeLessThanOrEqual(byTheEye);
    slow.clock = GOOD_CLOCK;
    expect(due()).toBeLessThanOrEqual(byTheEye);
    expect(slow.rig("west", seen + 20 * S).times.seenMs).toBeNull();
    // Nor is it too late to open by the clock alone: that word may be right.
    const off = slow.rig("west", c2 - 20 * S).cues.find(({ id }) => id === "filter-off");
    expect(off?.mode).toBe("plain");
    expect(slow.rig("west", seen + (c3 - c2) - 20 * S).cues.find(({ id }) => id === "filter-off")?.mode).toBe(
      "too-late",
    );
  });

  test("a word from before any doubt could let it in bears on nothing: doubt is bounded by the length", () => {
    const bound = SiteWorld.planned();
    bound.clock = { ...GOOD_CLOCK, boundMs: 1e9 };
    const { lengthS } = bound.view(NOW).doubt;
    const due = (offsetS: number) => {
      bound.report("west", { sawTotality: true }, { at: c2 + offsetS * S });
      return bound.rig("west", c2 - S).cues.find(({ id }) => id === "filter-on")?.dueMs;
    };
    expect(due(-lengthS - 5.1)).toBe(c2 + 5 * S);
    expect(bound.rig("west", c2 - S).times).toMatchObject({ seenMs: null, doubtfulMs: null });
    expect(due(-lengthS - 5)).toBeLessThan(c2 + 5 * S);
  });
});

describe("S5, S11: a rig for which doubt leaves too little stays filtered", () => {
  // 15 km at the path's edge: the place leaves all of 72 s open; 189 s further in, and then no doubt.
  test.each([
    [24.44, 15_000],
    [24.5, 15_000],
    [24.6, 15_000],
    [25, 15_000],
    [24.44, 50],
  ])(
    "at %d° N known to %d m totality is asked for just where seeing it would open",
    (latDeg, placeBoundM) => {
      const site = { ...PALM_FIELD, latDeg, lonDeg: 32.64, placeBoundM, confirmed: false };
      for (const rigId of ["eye", "west"])
        for (let seenS = -4; seenS <= 40; seenS += 4) {
          const world = SiteWorld.planned({ site });
          const { c2 } = world.predicted;
          const mode = (s: number) =>
            world.rig(rigId, c2 + s * S).cues.find(({ id }) => id === "filter-off")?.mode;
          world.report(rigId, { filter: "on" }, { at: c2 - 600 * S });
          const asked = mode(seenS) === "by-eye";
          world.report(rigId, { sawTotality: true }, { at: c2 + seenS * S });
          expect(mode(seenS + 0.5) === "plain", `${rigId} seen at ${seenS} s`).toBe(asked);
        }
    },
  );

  test("so at a place that leaves the whole length open nobody opens, whoever has seen it", () => {
    // Totality may be over at any second: what makes safe hangs on the sighting itself.
    const world = SiteWorld.planned({
      site: { ...PALM_FIELD, latDeg: 24.44, lonDeg: 32.64, placeBoundM: 15_000 },
    });
    const { c2, c3 } = world.predicted;
    expect(world.view(c2).doubt.lengthOpenS).toBeCloseTo((c3 - c2) / S, 3);
    world.report("eye", { filter: "on", sawTotality: true }, { at: c2 + S });
    for (let s = 2; s < 72; s += 5)
      expect(world.rig("eye", c2 + s * S).cues.find(({ id }) => id === "filter-off")?.mode).not.toBe("plain");
  });
});
