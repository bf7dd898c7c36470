import { describe, expect, test } from "vitest";
import { defaultCues } from "../../../../shared/plan/defaults/default-cues.ts";
import { handsConflicts, handsConflictsByOperator } from "../../../../shared/plan/hands/conflicts.ts";
import { C2_MS, ownCue, rigOf, totalSite } from "../sites-and-rigs.ts";

const site = totalSite(150);
const times = site.contacts;

describe("one pair of hands", () => {
  test("cannot hold two rigs at once, and is told when and for how long", () => {
    const a = { id: "a", cues: [ownCue({ id: "x", offsetS: -20, handsS: 6 })] };
    const b = { id: "b", cues: [ownCue({ id: "y", offsetS: -16, handsS: 10 })] };
    expect(handsConflicts([a, b], times)).toEqual([
      {
        first: { rigId: "a", cueId: "x" },
        second: { rigId: "b", cueId: "y" },
        fromMs: C2_MS - 16_000,
        overlapS: 2,
      },
    ]);
  });

  test("may go from one to the next at the same second", () => {
    const a = { id: "a", cues: [ownCue({ id: "x", offsetS: -20, handsS: 6 })] };
    const b = { id: "b", cues: [ownCue({ id: "y", offsetS: -14, handsS: 10 })] };
    expect(handsConflicts([a, b], times)).toEqual([]);
  });

  test("is not asked by cues switched off, without hands, or without a contact here", () => {
    const a = { id: "a", cues: [ownCue({ id: "x", handsS: 60 })] };
    const b = {
      id: "b",
      cues: [
        ownCue({ id: "off", handsS: 60, on: false }),
        ownCue({ id: "look", handsS: 0 }),
        ownCue({ id: "nowhere", handsS: 60, anchor: "C1" }),
      ],
    };
    expect(handsConflicts([a, b], { ...times, c1: null })).toEqual([]);
  });

  test("counts every repeat", () => {
    const repeat = { everyS: 60, until: { anchor: "C2" as const, offsetS: 120 } };
    const a = { id: "a", cues: [ownCue({ id: "x", handsS: 5, repeat })] };
    const b = { id: "b", cues: [ownCue({ id: "y", offsetS: 61, handsS: 5 })] };
    expect(handsConflicts([a, b], times)).toMatchObject([{ fromMs: C2_MS + 61_000, overlapS: 4 }]);
  });

  test("is free within the default list of any one rig, and not with two telescopes", () => {
    const rig = rigOf("tracked-telescope");
    const one = { id: "one", cues: defaultCues(rig, site), operator: "Noor" };
    const two = { ...one, id: "two", operator: " noor " };
    expect(handsConflicts([one], times)).toEqual([]);
    const found = handsConflictsByOperator([one, two, { ...one, id: "three", operator: "Sam" }], times);
    expect([...found.keys()]).toEqual(["Noor"]);
    const at = found.get("Noor")?.map((conflict) => conflict.first.cueId);
    expect(at).toEqual(expect.arrayContaining(["filter-off", "filter-on"]));
  });

  test("of nobody named is nobody's", () => {
    const cues = defaultCues(rigOf("tracked-telescope"), site);
    const rigs = ["a", "b"].map((id) => ({ id, cues, operator: "" }));
    expect(handsConflictsByOperator(rigs, times).size).toBe(0);
  });
});
