/** S12. Common practice, no source. */
import { describe, expect, test } from "vitest";
import { defaultCues } from "../../../../shared/plan/defaults/default-cues.ts";
import { setUpChecksFor } from "../../../../shared/plan/defaults/set-up-checks.ts";
import type { Rig } from "../../../../shared/plan/model/plan.ts";
import { filterAllowance } from "../../../../shared/plan/safety/allowance.ts";
import { checkPlan } from "../../../../shared/plan/safety/check-plan.ts";
import { ownCue, planOf, rigOf, totalSite, withCue, withoutCue } from "../sites-and-rigs.ts";

const site = totalSite(150);
const listed = (rig: Rig): Rig => ({ ...rig, cues: defaultCues(rig, site) });
const projection = listed(rigOf("projection"));
const alone = listed(rigOf("tracked-telescope", { unattended: true }));

describe("S12: projection and unattended optics", () => {
  test("are capped by C2−60 s, the window of the cue included, and projection is uncapped from C3+60 s", () => {
    const cap = projection.cues.find((cue) => cue.id === "projection-cap")!;
    expect(cap.anchor).toBe("C2");
    expect(cap.offsetS + cap.latestS).toBeLessThanOrEqual(-60);
    const uncap = projection.cues.find((cue) => cue.id === "projection-uncap")!;
    expect(uncap.anchor).toBe("C3");
    expect(uncap.offsetS + uncap.earliestS).toBeGreaterThanOrEqual(60);
  });

  test.each([
    [withoutCue(projection, "projection-cap"), "cap-missing"],
    [withCue(projection, "projection-cap", { on: false }), "cap-missing"],
    [withCue(projection, "projection-cap", { latestS: 31 }), "cap-too-late"],
    [withCue(projection, "projection-cap", { offsetS: -59 }), "cap-too-late"],
    [withCue(projection, "projection-uncap", { offsetS: 74 }), "uncapped-too-early"],
    [withCue(projection, "projection-uncap", { anchor: "sunBack" }), "uncapped-too-early"],
    [withCue(projection, "projection-cap", { anchor: "beadsC2", offsetS: -300 }), "cap-missing"],
    [withoutCue(alone, "cap-leave"), "cap-missing"],
    [
      { ...alone, cues: [...alone.cues, ownCue({ action: "filter-off", offsetS: 20 })] },
      "filter-off-left-alone",
    ],
    [
      { ...projection, cues: [...projection.cues, ownCue({ action: "filter-off", offsetS: 20 })] },
      "filter-off-left-alone",
    ],
  ])("and an edit against it is refused (%#)", (rig, code) => {
    expect(checkPlan(planOf(rig), site)).toMatchObject([{ rule: "S12", severity: "blocks", code }]);
  });

  test("have no allowance: nobody is there to put a filter on", () => {
    expect(filterAllowance(alone, site)).toBeNull();
    expect(filterAllowance(projection, site)).toBeNull();
  });

  test("have a barrier among their set-up checks", () => {
    expect(setUpChecksFor(projection)).toContain("barrier");
    expect(setUpChecksFor(alone)).toContain("barrier");
    expect(setUpChecksFor(rigOf("tripod-camera"))).not.toContain("barrier");
  });

  test("do not include a wide landscape camera, which works without hands", () => {
    const wide = listed(rigOf("wide-camera", { unattended: true }));
    expect(wide.cues.map((cue) => cue.id)).toContain("start-frames");
    expect(checkPlan(planOf(wide), site)).toEqual([]);
  });
});
