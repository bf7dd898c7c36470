/** SPEC R2. The reach of a call (15 s) is our own number: common practice, no source. */

import { describe, expect, test } from "vitest";
import { nextContact } from "../../../shared/run/effective-contacts.ts";
import { runMs } from "../../../shared/time/instants.ts";
import { NORTH_SHORE, SiteWorld } from "./site-world.ts";

const S = 1000;

function during(secondsFromC2: number) {
  const world = SiteWorld.planned();
  const { c2, c3 } = world.predicted;
  const now = Date.UTC(2027, 6, 25);
  world.practise(now, secondsFromC2);
  return { world, now, c2, c3 };
}

describe("R2: effective contacts", () => {
  test("are the predicted ones, limb included, while nothing is shifted or called", () => {
    const { world, now, c2, c3 } = during(-60);
    expect(world.contacts(now)).toMatchObject({ c2, c3, filterC3: c3 });
    const limb = { ...world.state.circumstances, limb: { c2ShiftS: 1.5, c3ShiftS: -2 } };
    world.state = { ...world.state, circumstances: limb as never };
    expect(world.contacts(now)).toMatchObject({ c2: c2 + 1.5 * S, c3: c3 - 2 * S, filterC3: c3 - 2 * S });
  });

  test("with them stand sunrise and sunset where there are any, whatever is shifted", () => {
    const { world, now, c2 } = during(-120);
    expect(world.contacts(now)).toMatchObject({ sunrise: null, sunset: null });
    const sunUp = { fromUtcMs: c2 - 3000 * S, untilUtcMs: null };
    world.state = { ...world.state, circumstances: { ...world.state.circumstances, sunUp } as never };
    world.order({ type: "shiftContact", contact: "c2", shiftS: 12 }, now);
    expect(world.contacts(now)).toMatchObject({ sunrise: c2 - 3000 * S, sunset: null });
  });

  test("a shift moves its own contact; a second one replaces the first", () => {
    const { world, now, c2, c3 } = during(-120);
    world.order({ type: "shiftContact", contact: "c2", shiftS: 12 }, now);
    expect(world.contacts(now)).toMatchObject({ c2: c2 + 12 * S, c3 });
    world.order({ type: "shiftContact", contact: "c2", shiftS: -3 }, now);
    expect(world.contacts(now).c2).toBe(c2 - 3 * S);
  });

  test("a shift of C3 to later leaves filterC3 where it was, one to earlier brings it along (S5)", () => {
    const { world, now, c3 } = during(-120);
    world.order({ type: "shiftContact", contact: "c3", shiftS: 20 }, now);
    expect(world.contacts(now)).toMatchObject({ c3: c3 + 20 * S, filterC3: c3 });
    world.order({ type: "shiftContact", contact: "c3", shiftS: -20 }, now);
    expect(world.contacts(now)).toMatchObject({ c3: c3 - 20 * S, filterC3: c3 - 20 * S });
  });

  test.each([-3, 0, 9, 15])("totality called %d s after C2 is C2", (lateS) => {
    const { world, now, c2 } = during(-10);
    world.order({ type: "call", call: "totality" }, now + (10 + lateS) * S);
    expect(world.contacts(now + 60 * S).c2).toBeCloseTo(c2 + lateS * S, 3);
  });

  test("called later than the reach it leaves C2 alone", () => {
    const { world, now, c2 } = during(-10);
    world.order({ type: "call", call: "totality" }, now + 26 * S);
    expect(world.contacts(now + 60 * S).c2).toBe(c2);
  });

  test("the Sun called back early is C3, and filters go on with it", () => {
    const { world, now, c2, c3 } = during(0);
    world.order({ type: "call", call: "sun returns" }, now + 100 * S);
    const { c3: now3, filterC3 } = world.contacts(now + 101 * S);
    expect(now3).toBeCloseTo(c2 + 100 * S, 3);
    expect(filterC3).toBe(now3);
    expect(now3).toBeLessThan(c3);
  });

  test("the Sun called back late moves C3, never the filter's", () => {
    const { world, now, c2, c3 } = during(0);
    const lateS = (c3 - c2) / S + 8;
    world.order({ type: "call", call: "sun returns" }, now + lateS * S);
    const found = world.contacts(now + (lateS + 1) * S);
    expect(found.c3).toBeCloseTo(c3 + 8 * S, 3);
    expect(found.filterC3).toBe(c3);
  });

  test("a call that was taken back leaves no trace", () => {
    const { world, now, c2 } = during(-3);
    const called = world.order({ type: "call", call: "totality" }, now);
    expect(world.contacts(now).c2).not.toBe(c2);
    expect(called).toHaveProperty("events");
    const callId = world.view(now).run.calls[0]?.callId ?? "";
    world.order({ type: "takeBackCall", callId }, now + S);
    expect(world.contacts(now + S)).toMatchObject({ c2 });
    expect(world.order({ type: "takeBackCall", callId }, now + S)).toEqual({ events: [] });
    expect(world.order({ type: "takeBackCall", callId: "none" }, now)).toMatchObject({
      refusal: { code: "not-found", field: "callId" },
    });
  });

  test("at a site without totality there is no C2, no C3 and none to shift", () => {
    const world = SiteWorld.planned({ site: NORTH_SHORE });
    const now = Date.UTC(2027, 6, 25);
    expect(world.contacts(now)).toMatchObject({ c2: null, c3: null, filterC3: null });
    expect(world.order({ type: "shiftContact", contact: "c2", shiftS: 3 }, now)).toMatchObject({
      refusal: { code: "no-such-contact", field: "contact" },
    });
  });

  test("only a contact that is ahead, as it stands or as predicted, is shifted", () => {
    const { world, now, c2, c3 } = during(-20);
    const shift = (contact: "c1" | "c2" | "c3", shiftS: number, s: number) =>
      world.order({ type: "shiftContact", contact, shiftS, reason: "beads" }, now + s * S);
    const passed = { refusal: { code: "contact-passed", field: "contact" } };
    expect(shift("c1", 0.3, 0)).toMatchObject(passed);
    expect(shift("c2", -15, 0)).toHaveProperty("events");
    // Shifted into the past by a slip of the hand, it is taken back while the prediction is ahead.
    expect(shift("c2", 0.3, 10)).toHaveProperty("events");
    expect(world.contacts(now + 11 * S).c2).toBeCloseTo(c2 + 300, 3);
    expect(shift("c2", 0, 21)).toMatchObject(passed);
    expect(world.contacts(now + 22 * S).c2).toBeCloseTo(c2 + 300, 3);
    expect(shift("c3", -0.4, 22)).toHaveProperty("events");
    expect(world.contacts(now + 23 * S).c3).toBeCloseTo(c3 - 400, 3);
  });

  test("a call is logged with what was predicted then, whatever was shifted", () => {
    const { world, now, c2, c3 } = during(-3);
    world.order({ type: "shiftContact", contact: "c3", shiftS: 2, reason: "beads" }, now);
    for (const call of ["totality", "stay filtered", "sun returns"] as const)
      world.order({ type: "call", call }, now + S);
    const logged = world.log.filter(({ type }) => type === "called").map(({ payload }) => payload);
    expect(logged).toMatchObject([
      { call: "totality", predictedRunMs: c2 },
      { call: "stay filtered", predictedRunMs: null },
      { call: "sun returns", predictedRunMs: c3 },
    ]);
    expect(world.view(now + S).run.calls.map(({ predictedRunMs }) => predictedRunMs)).toEqual([c2, null, c3]);
  });

  test("the next contact is the first still ahead", () => {
    const { world, now, c2, c3 } = during(0);
    const contacts = world.contacts(now);
    expect(nextContact(contacts, runMs(c2 - 1))).toEqual({ name: "c2", at: c2 });
    expect(nextContact(contacts, runMs(c2))?.name).toBe("max");
    expect(nextContact(contacts, runMs(c3))?.name).toBe("c4");
    expect(nextContact(contacts, runMs((contacts.c4 ?? 0) + 1))).toBeNull();
  });
});
