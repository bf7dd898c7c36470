/** S6. The five seconds before C2 are common practice, no source. */
import { describe, expect, test } from "vitest";
import { GOOD_CLOCK } from "../../../../shared/run/doubt.ts";
import { draftOf } from "../../../../shared/run/orders/decision.ts";
import { NORTH_SHORE, PALM_FIELD, SiteWorld } from "../site-world.ts";

const NOW = Date.UTC(2027, 6, 25);

function called(offsetS: number, clock = GOOD_CLOCK, anchor: "C2" | "C3" = "C2") {
  const world = SiteWorld.planned();
  world.clock = clock;
  world.practise(NOW, offsetS, 1, anchor);
  return world.order({ type: "call", call: "totality" }, NOW);
}

describe("S6: a call that unfilters", () => {
  test("is refused earlier than 5 s before C2, and taken from then on", () => {
    expect(called(-5.01)).toMatchObject({
      refusal: { code: "safety-rule", rule: "S6", field: "call", data: { reason: "too-early" } },
    });
    expect(called(-5)).toMatchObject({ events: [{ type: "called" }] });
    expect(called(30)).toMatchObject({ events: [{ type: "called" }] });
  });

  test("is let in earlier by the doubt; in the real run the hub's own clock counts, too", () => {
    const placeS = SiteWorld.planned().state.circumstances?.timingBoundS ?? 0;
    expect(called(-7.5 - placeS, { ...GOOD_CLOCK, boundMs: 2500 })).toHaveProperty("events");
    expect(called(-7.6 - placeS, { ...GOOD_CLOCK, boundMs: 2500 })).toHaveProperty("refusal");
    expect(called(-7.5, { ...GOOD_CLOCK, hubBoundMs: 2500 })).toHaveProperty("refusal");
    // Without a doubt only the clock's bound, which is a second at most.
    expect(called(-5.9, { ...GOOD_CLOCK, boundMs: 900 })).toHaveProperty("events");
    expect(called(-6, { ...GOOD_CLOCK, boundMs: 900 })).toHaveProperty("refusal");
    const world = SiteWorld.planned();
    const { c2 } = world.predicted;
    world.clock = { ...GOOD_CLOCK, hubBoundMs: 2500 };
    const early = c2 - (7.5 + placeS) * 1000;
    expect(world.order({ type: "call", call: "totality" }, early - 100)).toHaveProperty("refusal");
    expect(world.order({ type: "call", call: "totality" }, early + 1)).toHaveProperty("events");
  });

  test("is let in no more than 10 s earlier by a C2 that was shifted, however far", () => {
    const world = SiteWorld.planned();
    world.practise(NOW, -100, 1, "C2");
    world.order({ type: "shiftContact", contact: "c2", shiftS: -90 }, NOW);
    const placeMs = world.view(NOW + 1).doubt.byS * 1000;
    const call = (at: number) => world.order({ type: "call", call: "totality" }, at - placeMs);
    expect(call(NOW + 84_900)).toMatchObject({ refusal: { rule: "S6", data: { reason: "too-early" } } });
    expect(call(NOW + 85_000)).toHaveProperty("events");
  });

  test("is refused while every lens is covered (S7), and is not made twice", () => {
    const world = SiteWorld.planned();
    world.practise(NOW, 10, 1, "C2");
    world.order({ type: "cover" }, NOW);
    expect(world.order({ type: "call", call: "totality" }, NOW + 1000)).toMatchObject({
      refusal: { code: "safety-rule", rule: "S7", data: { reason: "covered" } },
    });
    world.order({ type: "releaseCover" }, NOW + 2000);
    world.order({ type: "call", call: "totality" }, NOW + 3000);
    const { c2 } = world.contacts(NOW + 3000);
    expect(world.order({ type: "call", call: "totality" }, NOW + 60_000)).toEqual({ events: [] });
    // After "stay filtered" it may be called anew, and C2 stays where it was first seen.
    world.order({ type: "call", call: "stay filtered" }, NOW + 61_000);
    world.order({ type: "call", call: "totality" }, NOW + 70_000);
    expect(world.contacts(NOW + 70_000).c2).toBe(c2);
  });

  test("is refused when totality is over", () => {
    expect(called(-0.01, GOOD_CLOCK, "C3")).toHaveProperty("events");
    expect(called(0, GOOD_CLOCK, "C3")).toMatchObject({
      refusal: { rule: "S6", data: { reason: "over" } },
    });
  });

  test("is refused at any time where the eclipse is partial (S2)", () => {
    const world = SiteWorld.planned({ site: NORTH_SHORE });
    const max = world.contacts(NOW).max ?? 0;
    for (const at of [NOW, max - 1000, max]) {
      expect(world.order({ type: "call", call: "totality" }, at)).toMatchObject({
        refusal: { code: "safety-rule", rule: "S2", data: { reason: "no-totality" } },
      });
    }
  });
});

describe("S6: an operator's own “I see totality”", () => {
  // The same limit as the lead's: 5 s and the doubt (its clock here; the place's is added).
  test.each([
    [-3600, 0, false],
    [-5.1, 0, false],
    [-5, 0, true],
    [10, 0, true],
    [-95, 90_000, true],
    [-100, 90_000, false],
    [-3600, 1e9, false],
  ])("said %d s from C2 with a bound of %d ms is believed: %s", (offsetS, boundMs, believed) => {
    const world = SiteWorld.planned();
    world.clock = { ...GOOD_CLOCK, boundMs };
    world.practise(NOW, offsetS, 1, "C2");
    world.report("west", { sawTotality: true }, { at: NOW });
    expect(world.rig("west", NOW + 1).times.seenMs !== null).toBe(believed);
    const lead = SiteWorld.planned();
    lead.clock = { ...GOOD_CLOCK, boundMs };
    lead.practise(NOW, offsetS, 1, "C2");
    expect("events" in lead.order({ type: "call", call: "totality" }, NOW)).toBe(believed);
  });
});

describe("S6: whatever makes things safe ends a call of totality for good", () => {
  const opened = () => {
    const world = SiteWorld.planned();
    const { c2, c3 } = world.predicted;
    for (const rigId of ["west", "eye"]) world.report(rigId, { filter: "on" }, { at: c2 - 600_000 });
    world.order({ type: "call", call: "totality" }, c2);
    return { world, c2, c3 };
  };
  const mode = (world: SiteWorld, at: number, rigId = "eye") =>
    world.rig(rigId, at).cues.find(({ id }) => id === "filter-off")?.mode;
  const lastCall = (world: SiteWorld, at: number) => world.view(at).run.calls.at(-1)?.callId ?? "";

  test.each(["sun returns", "stay filtered"] as const)("%s, taken back, opens nothing", (name) => {
    const { world, c2 } = opened();
    expect(mode(world, c2 + 12_000)).toBe("plain");
    world.order({ type: "call", call: name }, c2 + 15_000);
    expect(world.rig("eye", c2 + 16_000).times.seenMs).toBeNull();
    world.order({ type: "takeBackCall", callId: lastCall(world, c2 + 16_000) }, c2 + 17_000);
    expect(mode(world, c2 + 18_000)).toBe("by-eye");
    expect(mode(world, c2 + 18_000, "west")).toBe("by-eye");
    // Only a fresh held call does.
    world.order({ type: "call", call: "totality" }, c2 + 20_000);
    expect(mode(world, c2 + 21_000)).toBe("plain");
  });

  test("the cover, released, opens nothing; nor does what an operator saw before it", () => {
    const { world, c2 } = opened();
    world.report("eye", { sawTotality: true }, { at: c2 + 1000 });
    world.order({ type: "cover" }, c2 + 15_000);
    expect(mode(world, c2 + 16_000)).toBe("covered");
    world.order({ type: "releaseCover" }, c2 + 17_000);
    expect(mode(world, c2 + 18_000)).toBe("by-eye");
    world.report("eye", { sawTotality: true }, { at: c2 + 19_000 });
    expect(mode(world, c2 + 20_000)).toBe("plain");
    expect(mode(world, c2 + 20_000, "west")).toBe("by-eye");
  });

  test("a cover of the morning, long released, leaves the clock's cues as they are", () => {
    const world = SiteWorld.planned();
    const { c2 } = world.predicted;
    world.report("west", { filter: "on" }, { at: c2 - 600_000 });
    world.order({ type: "cover" }, c2 - 500_000);
    world.order({ type: "releaseCover" }, c2 - 400_000);
    expect(mode(world, c2 - 15_000, "west")).toBe("plain");
  });

  test("“Sun returns” called months ahead moves nothing; called in totality it is C3", () => {
    const { world, c2, c3 } = opened();
    const far = SiteWorld.planned();
    far.order({ type: "call", call: "sun returns" }, NOW - 200 * 86_400_000);
    expect(far.contacts(NOW)).toMatchObject({ c2, c3, filterC3: c3 });
    world.order({ type: "call", call: "sun returns" }, c2 + 60_000);
    expect(world.contacts(c2 + 61_000)).toMatchObject({ c3: c2 + 60_000, filterC3: c2 + 60_000 });
    const late = opened();
    late.world.order({ type: "call", call: "sun returns" }, c3 + 61_000);
    expect(late.world.contacts(c3 + 62_000)).toMatchObject({ c3, filterC3: c3 });
  });

  test("and called again it puts nothing later: the first that counts is C3", () => {
    const { world, c2 } = opened();
    for (const s of [-60, 24.4, 60, 60.1]) world.order({ type: "call", call: "sun returns" }, c2 + s * 1000);
    expect(world.contacts(c2 + 61_000).filterC3).toBe(c2 + 24_400);
    world.report("west", { filter: "off", looked: true }, { at: c2 + 62_000 });
    expect(world.rig("west", c2 + 62_001)).toMatchObject({
      exposed: true,
      cueNow: { id: "filter-on", state: expect.stringMatching(/now|late/) },
    });
    // The first one taken back, the next stands.
    const first = world.view(c2 + 63_000).run.calls.find(({ atRunMs }) => atRunMs === c2 + 24_400);
    world.order({ type: "takeBackCall", callId: first?.callId ?? "" }, c2 + 63_000);
    expect(world.contacts(c2 + 64_000).filterC3).toBe(c2 + 60_000);
  });

  test("and always tells open rigs at once to put their filters on", () => {
    for (const name of ["sun returns", "stay filtered"] as const) {
      const { world, c2 } = opened();
      world.report("west", { cueDone: "filter-off" }, { at: c2 - 15_000 });
      world.order({ type: "call", call: name }, c2 + 60_000);
      const { cueNow } = world.rig("west", c2 + 60_001);
      expect(cueNow).toMatchObject({ id: "filter-on", state: "now", dueMs: c2 + 60_000 });
    }
  });
});

describe("S6: a shift brings no unfiltering word on", () => {
  const S = 1000;
  const rigs = [
    { id: "eye", name: "Eyepiece", kind: "visual-telescope", lookedThrough: true, focalLengthMm: 1200 },
    { id: "line", name: "Red line", kind: "narrowband-telescope", focalLengthMm: 400 },
    { id: "west", name: "West telescope", kind: "tracked-telescope", focalLengthMm: 480 },
  ];
  const field = (confirmed = true) => {
    const world = SiteWorld.planned({ rigs, site: { ...PALM_FIELD, confirmed } });
    const { c2 } = world.predicted;
    for (const { id } of rigs) world.report(id, { filter: "on" }, { at: c2 - 600 * S });
    const cue = (rigId: string, cueId: string, at: number) => {
      const found = world.rig(rigId, at).cues.find(({ id }) => id === cueId);
      if (!found) throw new Error(`no cue ${cueId}`);
      return found;
    };
    // As a log has it: also one of a C2 that has passed, which no lead can order any more.
    const shift = (shiftS: number, at: number) => {
      const payload = { contact: "c2", shiftMs: shiftS * S, by: "lead:Ada" } as const;
      world.take([draftOf(world.context(at), world.state.realRunId, "contactShifted", payload)], at);
    };
    return { world, c2, cue, shift };
  };

  test("“Look up” at the beginning of totality hangs on the call, however C2 is shifted", () => {
    const { world, c2, cue, shift } = field();
    shift(-516, c2 + 4 * S);
    world.order({ type: "call", call: "totality" }, c2 + 20 * S);
    const due = c2 + 23 * S;
    expect(cue("line", "look-up", c2 + 23 * S)).toMatchObject({ dueMs: due, state: "now", mode: "plain" });
    for (const shiftS of [53, -30, 0]) {
      shift(shiftS, c2 + 29 * S);
      expect(cue("line", "look-up", c2 + 29 * S), `${shiftS} s`).toMatchObject({
        dueMs: due,
        state: "skipped",
      });
    }
  });

  test("and before anybody has called it, on the prediction", () => {
    const { c2, cue, shift } = field();
    for (const shiftS of [0, -516, 53]) {
      shift(shiftS, c2 - 60 * S);
      expect(cue("line", "look-up", c2 - 59 * S)).toMatchObject({ dueMs: c2 + 3 * S, mode: "unsaid" });
    }
  });

  test("a filter-off that a shift has put later does not come back by shifting C2 back", () => {
    // C2+10 s and later, by what was seen: the call came 19.5 s after the predicted C2.
    const { world, c2, cue, shift } = field();
    world.order({ type: "call", call: "totality" }, c2 + 19.5 * S);
    expect(cue("eye", "filter-off", c2 + 20 * S)).toMatchObject({ state: "now", mode: "plain" });
    shift(20, c2 + 22 * S);
    expect(cue("eye", "filter-off", c2 + 23 * S).state).toBe("next");
    shift(0, c2 + 26 * S);
    const back = cue("eye", "filter-off", c2 + 27 * S);
    expect(back).toMatchObject({ state: "next" });
    expect(back.dueMs).toBeGreaterThanOrEqual(c2 + (19.5 + 10) * S);
    // Nor does what puts it later put the way back on later.
    expect(cue("eye", "filter-on", c2 + 27 * S).dueMs).toBeLessThanOrEqual(world.predicted.c3 - 10 * S);
  });

  test("a filter that came off in totality is not to come off again, however late the call and C2 are", () => {
    const { world, c2, cue, shift } = field();
    world.report("west", { filter: "off" }, { at: c2 + 8 * S });
    world.report("eye", { filter: "off" }, { at: c2 + 12 * S });
    world.order({ type: "call", call: "totality" }, c2 + 199 * S);
    for (const shiftS of [-2, 200, 0]) {
      shift(shiftS, c2 + 205 * S);
      for (const id of ["west", "eye"])
        expect(cue(id, "filter-off", c2 + 206 * S).state, `${id} at ${shiftS} s`).toBe("done");
    }
  });

  test("what an operator saw is believed through a shift of C2, so that none brings the belief back", () => {
    const { world, c2, cue, shift } = field(false);
    world.report("west", { sawTotality: true }, { at: c2 + S });
    for (const shiftS of [60, 0, -60]) {
      shift(shiftS, c2 + 5 * S);
      expect(cue("west", "filter-off", c2 + 6 * S).mode, `${shiftS} s`).toBe("plain");
    }
  });

  test.each([-30, 60, 0])(
    "what was said too early to be believed is not believed by a shift of %d s",
    (shiftS) => {
      const { world, c2, cue, shift } = field(false);
      const early = c2 - (6 + world.view(c2 - 30 * S).doubt.figureS) * S;
      world.report("west", { sawTotality: true }, { at: early });
      expect(cue("west", "filter-off", early + 1).mode).toBe("by-eye");
      shift(shiftS, early + S);
      expect(cue("west", "filter-off", early + 2 * S).mode).toBe("by-eye");
      // Not even where the revision itself is the only doubt.
      const sure = field();
      sure.world.report("west", { sawTotality: true }, { at: c2 - 5.5 * S });
      sure.shift(shiftS, c2 - 5 * S);
      expect(sure.cue("west", "filter-off", c2 - 4 * S).mode).toBe("by-eye");
    },
  );
});

describe("S6: calls that make safe are taken in every state", () => {
  test.each(["sun returns", "stay filtered"] as const)("%s", (call) => {
    for (const world of [SiteWorld.planned(), SiteWorld.planned({ site: NORTH_SHORE }), new SiteWorld()]) {
      world.clock = { boundMs: 1e9, hubBoundMs: 1e9, disputed: true, slept: true };
      expect(world.order({ type: "call", call }, NOW)).toMatchObject({ events: [{ type: "called" }] });
      world.order({ type: "cover" }, NOW + 1);
      expect(world.order({ type: "call", call }, NOW + 2)).toHaveProperty("events");
    }
  });
});
