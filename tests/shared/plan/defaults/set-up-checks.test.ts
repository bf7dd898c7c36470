/** The set-up list of each kind of rig. What is on it is common practice, no source. */
import { describe, expect, it } from "vitest";
import { setUpChecksFor } from "../../../../shared/plan/defaults/set-up-checks.ts";
import { RIG_KINDS } from "../../../../shared/plan/model/vocabulary.ts";
import { hasFilter } from "../../../../shared/plan/safety/allowance.ts";
import { rigOf } from "../sites-and-rigs.ts";

/** Checks whose words speak of a filter of the rig's. */
const OF_A_FILTER = ["pointed", "filter-seated", "filters-in-place"];

describe("the set-up list", () => {
  it.each(RIG_KINDS)("speaks of a filter where a rig has one, and only there: %s", (kind) => {
    for (const filter of ["front", "none by design"] as const) {
      const rig = rigOf(kind, { filter });
      const asked = setUpChecksFor(rig).filter((check) => OF_A_FILTER.includes(check));
      expect(asked.length > 0, filter).toBe(hasFilter(rig));
    }
  });

  it("has the Sun's place looked for in the picture by a camera without a filter", () => {
    const rig = rigOf("tripod-camera", { filter: "none by design" });
    expect(setUpChecksFor(rig)).toContain("framed");
    expect(setUpChecksFor(rigOf("wide-camera"))).toContain("framed");
  });

  it("has a projection aimed by its shadow: nobody looks through it", () => {
    expect(setUpChecksFor(rigOf("projection"))).toContain("aimed-by-shadow");
  });

  it("asks for the filters of its own of a narrowband telescope, not for one on the front", () => {
    const checks = setUpChecksFor(rigOf("narrowband-telescope"));
    expect(checks).toContain("filters-in-place");
    expect(checks).not.toContain("filter-seated");
  });

  it.each(RIG_KINDS)("asks for card, battery and camera clock where there is a camera: %s", (kind) => {
    const looking = ["visual-telescope", "binocular", "narrowband-telescope", "projection"];
    expect(setUpChecksFor(rigOf(kind)).includes("battery")).toBe(!looking.includes(kind));
  });
});
