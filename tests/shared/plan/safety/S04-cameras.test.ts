/** S4. The seconds are common practice, no source. */
import { describe, expect, test } from "vitest";
import { defaultCues } from "../../../../shared/plan/defaults/default-cues.ts";
import type { Cue } from "../../../../shared/plan/model/cue.ts";
import { filterAllowance } from "../../../../shared/plan/safety/allowance.ts";
import { checkPlan } from "../../../../shared/plan/safety/check-plan.ts";
import { planOf, rigOf, totalSite, withCue } from "../sites-and-rigs.ts";

const site = totalSite(150);
const camera = (focalLengthMm: number | null, change: [string, Partial<Cue>] | null = null) => {
  const rig = rigOf("tripod-camera", { focalLengthMm });
  const listed = { ...rig, cues: defaultCues(rig, site) };
  return change === null ? listed : withCue(listed, ...change);
};

describe("S4: a camera nobody looks through", () => {
  test.each([
    [8, -45],
    [100, -45],
    [100.5, -30],
    [500, -30],
    [501, -20],
    [4000, -20],
    [null, -20],
  ])("of %s mm may be unfiltered from C2%i s", (focalLengthMm, offsetS) => {
    expect(filterAllowance(rigOf("tripod-camera", { focalLengthMm }), site)).toEqual({
      offFrom: { anchor: "C2", offsetS },
      onFrom: { anchor: "C3", offsetS: 5 },
      onBy: { anchor: "C3", offsetS: 15 },
    });
  });

  test.each([
    [50, -45, []],
    [50, -46, ["filter-off-too-early"]],
    [300, -30, []],
    [300, -31, ["filter-off-too-early"]],
    [1000, -20, []],
    [1000, -21, ["filter-off-too-early"]],
    [null, -21, ["filter-off-too-early"]],
    [50, 151, ["filter-off-too-late"]],
  ] as const)("of %s mm with the filter off at C2%+i s", (focalLengthMm, offsetS, codes) => {
    const rig = camera(focalLengthMm, ["filter-off", { offsetS, earliestS: 0, latestS: 0 }]);
    const found = checkPlan(planOf(rig), site).filter((one) => one.code.startsWith("filter-off"));
    expect(found.map((one) => one.code)).toEqual(codes);
    for (const one of found) expect(one).toMatchObject({ rule: "S4", severity: "acknowledge" });
  });

  test("has its filter on by C3+15 s, the window of the cue included", () => {
    expect(checkPlan(planOf(camera(300, ["filter-on", { offsetS: 5, latestS: 10 }])), site)).toEqual([]);
    expect(checkPlan(planOf(camera(300, ["filter-on", { offsetS: 5, latestS: 11 }])), site)).toMatchObject([
      { rule: "S4", severity: "acknowledge", code: "filter-on-too-late", cueId: "filter-on" },
    ]);
    expect(checkPlan(planOf(camera(300, ["filter-on", { offsetS: 16, latestS: 0 }])), site)).toMatchObject([
      { rule: "S4", code: "filter-on-too-late" },
    ]);
  });

  test("may have it on earlier than C3+5 s: that is only safer", () => {
    expect(checkPlan(planOf(camera(300, ["filter-on", { offsetS: -5 }])), site)).toEqual([]);
  });

  test("of a long focal length needs a word from the lead to go without a filter by design", () => {
    const found = (focalLengthMm: number | null) =>
      checkPlan(planOf(rigOf("video-camera", { focalLengthMm, filter: "none by design" })), site);
    expect(found(35)).toEqual([]);
    expect(found(200)).toMatchObject([{ rule: "S4", severity: "acknowledge", code: "no-filter-on-optics" }]);
    expect(found(null)).toMatchObject([{ rule: "S4", severity: "acknowledge" }]);
  });

  test("without a filter has none to take off", () => {
    const cues = camera(35).cues.filter((cue) => cue.action.startsWith("filter"));
    const rig = rigOf("wide-camera", { focalLengthMm: 20, cues });
    expect(checkPlan(planOf(rig), site)).toMatchObject([
      { rule: "plan", severity: "blocks", code: "no-filter-to-take-off", cueId: "filter-off" },
    ]);
  });
});
