/**
 * S13, as far as cues go. Source of the frame: NASA eye-safety text (the naked eye is safe in
 * totality only). C3−15 s: common practice, no source.
 */
import { describe, expect, test } from "vitest";
import { defaultCues } from "../../../../shared/plan/defaults/default-cues.ts";
import type { Rig } from "../../../../shared/plan/model/plan.ts";
import { checkPlan } from "../../../../shared/plan/safety/check-plan.ts";
import {
  annularSite,
  ownCue,
  partialSite,
  planOf,
  rigOf,
  totalSite,
  withCue,
  withoutCue,
} from "../sites-and-rigs.ts";

const site = totalSite(150);
const listed = (rig: Rig): Rig => ({ ...rig, cues: defaultCues(rig, site) });
const wide = listed(rigOf("wide-camera"));
const camera = listed(rigOf("tracked-telescope"));

describe("S13: looking up", () => {
  test.each([
    ["C2", -1],
    ["C3", -14],
    ["C3", 0],
    ["C1", 0],
    ["sunBack", 0],
    ["beadsC3", -30],
  ] as const)("is not said at %s%+i s", (anchor, offsetS) => {
    expect(checkPlan(planOf(withCue(wide, "look-up", { anchor, offsetS })), site)).toMatchObject([
      { rule: "S13", severity: "blocks", code: "look-up-outside-totality", cueId: "look-up" },
    ]);
  });

  test("is never said at a partial or annular site", () => {
    const rig = rigOf("tripod-camera", { cues: [ownCue({ anchor: "max", action: "look-up" })] });
    for (const gets of [partialSite(), annularSite(200)])
      expect(checkPlan(planOf(rig), gets)).toMatchObject([{ rule: "S13", code: "look-up-outside-totality" }]);
  });

  test("does not come again after totality by a repeat", () => {
    const repeat = { everyS: 30, until: { anchor: "C4" as const, offsetS: 0 } };
    expect(checkPlan(planOf(withCue(wide, "look-up", { repeat })), site)).toMatchObject([
      { rule: "S13", field: expect.stringMatching(/\.repeat$/) },
    ]);
  });

  test("is followed by a cue that calls the eyes down by C3−15 s", () => {
    expect(checkPlan(planOf(withoutCue(wide, "glasses-on")), site)).toMatchObject([
      { rule: "S13", severity: "blocks", code: "eyes-down-missing" },
    ]);
    expect(checkPlan(planOf(withCue(wide, "glasses-on", { offsetS: -14 })), site)).toMatchObject([
      { rule: "S13", severity: "blocks", code: "glasses-on-too-late", cueId: "glasses-on" },
    ]);
    const without = withoutCue(withoutCue(camera, "burst-after"), "bead-after");
    expect(checkPlan(planOf(without), site)).toMatchObject([{ rule: "S13", code: "eyes-down-missing" }]);
    expect(checkPlan(planOf(withoutCue(without, "look-up")), site)).toEqual([]);
  });

  test("stays out of a totality too short for it", () => {
    for (const kind of ["tracked-telescope", "wide-camera"] as const)
      expect(defaultCues(rigOf(kind), totalSite(14)).map((cue) => cue.id)).not.toContain("look-up");
  });
});
