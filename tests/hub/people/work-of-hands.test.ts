/** People who keep to an order of hands: on time where it is right, late where it is not. Arithmetic by hand. */
import { describe, expect, it } from "vitest";
import { type HandsOrder, WorkOfHands } from "../../../hub/people/work-of-hands.ts";
import type { OrderedCue } from "../../../shared/plan/hands/hands-plan.ts";
import { plannedContacts } from "../../../shared/run/effective-contacts.ts";
import { SiteWorld } from "../../shared/run/site-world.ts";

const contacts = plannedContacts(SiteWorld.planned().state);
const { c2 } = contacts;
if (c2 === null) throw new Error("the site of these tests has a C2");

const cue = (rigId: string, cueId: string, startS: number, endS: number, n = 1): OrderedCue => ({
  rigId,
  cueId,
  n,
  anchor: "C2",
  startS,
  endS,
});
const ann = (order: OrderedCue[], rigIds = ["a", "b"]): HandsOrder => ({ operator: "Ann", rigIds, order });
const far = { rigs: [], walkS: (from: string, to: string) => (from === to ? 0 : 5) };
const fromTo = (work: WorkOfHands, rigId: string, id: string) => {
  const at = work.at(rigId, id, contacts);
  return at && [(at.fromMs - c2) / 1000, (at.toMs - c2) / 1000];
};

describe("the work of hands", () => {
  it("is done when the order says, by the names that a run has for a series", () => {
    const work = new WorkOfHands(
      [ann([cue("a", "focus", -40, -30), cue("b", "focus", -25, -15), cue("b", "focus", 0, 10, 2)])],
      far,
    );
    expect(fromTo(work, "a", "focus")).toEqual([-40, -30]);
    expect(fromTo(work, "b", "focus")).toEqual([-25, -15]);
    expect(fromTo(work, "b", "focus.2")).toEqual([0, 10]);
    expect(fromTo(work, "a", "burst")).toBeNull();
  });

  it("is late by what an order forgets: that somebody has to walk, or is still busy", () => {
    // Ready at -30 s, five seconds of walking: -25 s, not -28 s; then busy until -15 s.
    const order = [cue("a", "off", -40, -30), cue("b", "off", -28, -18), cue("b", "burst", -16, -10)];
    const work = new WorkOfHands([ann(order)], far);
    expect(fromTo(work, "b", "off")).toEqual([-25, -15]);
    expect(fromTo(work, "b", "burst")).toEqual([-15, -9]);
  });

  it("for two begins when both have come, and a tool is carried from rig to rig", () => {
    const helped = { ...cue("a", "off", -40, -30), with: ["Ben"] };
    const hands: HandsOrder[] = [
      ann([helped]),
      { operator: "Ben", rigIds: ["c"], order: [cue("c", "off", -50, -41), { ...helped, with: ["Ann"] }] },
      { operator: "", rigIds: ["d"], order: [cue("d", "off", -33, -30)] },
    ];
    const key = (id: string) => ({
      id,
      name: id,
      operator: "",
      cues: [{ id: "off", tool: "Hex key" }] as any,
    });
    const work = new WorkOfHands(hands, { ...far, rigs: [key("a"), key("d")] });
    // Ben is free at -41 s and there at -36 s; the key is free at -26 s and at the other rig at -21 s.
    expect(fromTo(work, "a", "off")).toEqual([-36, -26]);
    expect(fromTo(work, "d", "off")).toEqual([-21, -18]);
    expect(["a", "b", "c", "d"].map((id) => work.binds(id))).toEqual([true, true, true, false]);
  });
});
