/** S11, as far as a plan can keep it. 20 s and 40 s are common practice, no source. */
import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { defaultCues } from "../../../../shared/plan/defaults/default-cues.ts";
import { isLookedThrough } from "../../../../shared/plan/safety/allowance.ts";
import { anyRig, anyTotalSite } from "../sites-and-rigs.ts";

describe("S11: a hole late in totality", () => {
  test("finds the window of the filter-off cue closed 20 s before C3, and eyes-away ahead where somebody looks through", () => {
    fc.assert(
      fc.property(anyRig, anyTotalSite, (rig, gets) => {
        const off = defaultCues(rig, gets).find((cue) => cue.action === "filter-off");
        if (off === undefined) return;
        const leftS = gets.totalityS - (off.offsetS + off.latestS);
        expect(leftS).toBeGreaterThanOrEqual(isLookedThrough(rig) ? 30 : 20);
        // 40 s left to open into wherever totality has them to give after S3's C2+10 s.
        if (isLookedThrough(rig) && gets.totalityS >= 50) expect(leftS).toBeGreaterThanOrEqual(40);
      }),
      { numRuns: 500 },
    );
  });
});
