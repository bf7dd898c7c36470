import { describe, expect, test } from "vitest";
import { defaultCues } from "../../../../shared/plan/defaults/default-cues.ts";
import { checkPlan } from "../../../../shared/plan/safety/check-plan.ts";
import { FINDING_CODES } from "../../../../shared/plan/safety/finding.ts";
import { ownCue, planOf, rigOf, totalSite, words } from "../sites-and-rigs.ts";

const site = totalSite(150);

describe("checking a plan", () => {
  test("finds two rigs with one id, and names the second", () => {
    const found = checkPlan(planOf(rigOf("tripod-camera"), rigOf("video-camera", { name: "Video" })), site);
    expect(found).toMatchObject([
      {
        rule: "plan",
        severity: "blocks",
        code: "duplicate-rig-id",
        field: "rigs.1.id",
        data: { id: "rig-1" },
      },
    ]);
  });

  // "Élan" twice: with one character for É, and with an accent of its own (Unicode, NFC and NFD).
  test.each([
    ["West pier", "West pier"],
    ["West pier", "  west  PIER "],
    ["\u00c9lan", "E\u0301lan"],
  ])("finds two rigs with one name, %j and %j, and names the second", (first, second) => {
    const rigs = [
      rigOf("tripod-camera", { name: first }),
      rigOf("tripod-camera", { id: "rig-2", name: "Between" }),
      rigOf("video-camera", { id: "rig-3", name: second }),
    ];
    expect(checkPlan(planOf(...rigs), site)).toMatchObject([
      { rule: "plan", severity: "blocks", code: "duplicate-rig-name", rigId: "rig-3", field: "rigs.2.name" },
    ]);
  });

  test("lets names differ in a figure, an accent or a letter", () => {
    const names = ["Pier 1", "Pier 2", "Piér 1", "Piers 1"];
    const rigs = names.map((name, n) => rigOf("tripod-camera", { id: `rig-${n}`, name }));
    expect(checkPlan(planOf(...rigs), site)).toEqual([]);
  });

  test("finds two cues of a rig with one id, and lets two rigs have the same", () => {
    const cues = [ownCue({ id: "one" }), ownCue({ id: "two" }), ownCue({ id: "one" })];
    expect(checkPlan(planOf(rigOf("tripod-camera", { cues })), site)).toMatchObject([
      { rule: "plan", code: "duplicate-cue-id", cueId: "one", field: "rigs.0.cues.2.id" },
    ]);
    const one = [ownCue({ id: "one" })];
    const two = planOf(
      rigOf("tripod-camera", { cues: one }),
      rigOf("tripod-camera", { id: "rig-2", name: "Rig two", cues: one }),
    );
    expect(checkPlan(two, site)).toEqual([]);
  });

  test("finds a cue that has nothing to say", () => {
    const cues = [ownCue({ say: null }), ownCue({ id: "b", say: "" })];
    expect(checkPlan(planOf(rigOf("tripod-camera", { cues })), site)).toMatchObject([
      { code: "cue-without-words", field: "rigs.0.cues.0.say" },
      { code: "cue-without-words", field: "rigs.0.cues.1.say" },
    ]);
  });

  test("gives every finding the place of its rig in the plan", () => {
    const fine = rigOf("tripod-camera");
    const cues = defaultCues(rigOf("visual-telescope"), site).filter((cue) => cue.id !== "filter-on");
    const bad = rigOf("visual-telescope", { id: "rig-2", name: "Big eye", cues });
    expect(checkPlan(planOf(fine, bad), site)).toMatchObject([
      { rigId: "rig-2", field: "rigs.1.cues", data: { rig: "Big eye" } },
    ]);
  });

  test("has words for every finding", () => {
    for (const code of FINDING_CODES) expect(words).toHaveProperty([`finding.${code}`]);
  });
});
