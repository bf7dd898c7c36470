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

  test("is let in earlier by the clock's bound; in the real run the hub's own counts, too", () => {
    expect(called(-7.5, { ...GOOD_CLOCK, boundMs: 2500 })).toHaveProperty("events");
    expect(called(-7.6, { ...GOOD_CLOCK, boundMs: 2500 })).toHaveProperty("refusal");
    expect(called(-7.5, { ...GOOD_CLOCK, hubBoundMs: 2500 })).toHaveProperty("refusal");
    const world = SiteWorld.planned();
    const { c2 } = world.predicted;
    world.clock = { ...GOOD_CLOCK, hubBoundMs: 2500 };
    expect(world.order({ type: "call", call: "totality" }, c2 - 7500)).toHaveProperty("events");
    expect(world.order({ type: "call", call: "totality" }, c2 - 7600)).toHaveProperty("refusal");
  });

  test("is let in no more than 10 s earlier by a C2 that was shifted, however far", () => {
    const world = SiteWorld.planned();
    world.practise(NOW, -100, 1, "C2");
    world.order({ type: "shiftContact", contact: "c2", shiftS: -90 }, NOW);
    const call = (at: number) => world.order({ type: "call", call: "totality" }, at);
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
  // From 5 s plus 30 s before C2 on, plus what the clock's bound exceeds them by.
  test.each([
    [-3600, 0, false],
    [-36, 0, false],
    [-35, 0, true],
    [10, 0, true],
    [-95, 90_000, true],
    [-96, 90_000, false],
    [-3600, 1e9, false],
  ])("said %d s from C2 with a bound of %d ms is believed: %s", (offsetS, boundMs, believed) => {
    const world = SiteWorld.planned();
    world.clock = { ...GOOD_CLOCK, boundMs };
    world.practise(NOW, offsetS, 1, "C2");
    world.report("west", { sawTotality: true }, { at: NOW });
    expect(world.rig("west", NOW + 1).sawTotality).toBe(believed);
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
