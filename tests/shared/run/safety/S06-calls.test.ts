/** S6. The five seconds before C2 are common practice, no source. */
import { describe, expect, test } from "vitest";
import { GOOD_CLOCK } from "../../../../shared/run/doubt.ts";
import { NORTH_SHORE, SiteWorld } from "../site-world.ts";

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
