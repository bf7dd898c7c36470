import { describe, expect, test } from "vitest";
import { checkPlan } from "../../../shared/plan/check-plan.ts";
import { defaultCues } from "../../../shared/plan/default-cues.ts";
import { FINDING_CODES } from "../../../shared/plan/safety/finding.ts";
import { ownCue, planOf, rigOf, totalSite, words } from "./sites-and-rigs.ts";

const site = totalSite(150);

describe("checking a plan", () => {
  test("finds two rigs with one id, and names the second", () => {
    const found = checkPlan(planOf(rigOf("tripod-camera"), rigOf("video-camera")), site);
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

  test("finds two cues of a rig with one id, and lets two rigs have the same", () => {
    const cues = [ownCue({ id: "one" }), ownCue({ id: "two" }), ownCue({ id: "one" })];
    expect(checkPlan(planOf(rigOf("tripod-camera", { cues })), site)).toMatchObject([
      { rule: "plan", code: "duplicate-cue-id", cueId: "one", field: "rigs.0.cues.2.id" },
    ]);
    const one = [ownCue({ id: "one" })];
    const two = planOf(
      rigOf("tripod-camera", { cues: one }),
      rigOf("tripod-camera", { id: "rig-2", cues: one }),
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
