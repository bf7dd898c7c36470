/** S3. The seconds are common practice, no source. */
import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { defaultCues } from "../../../../shared/plan/defaults/default-cues.ts";
import type { Rig } from "../../../../shared/plan/model/plan.ts";
import { filterAllowance } from "../../../../shared/plan/safety/allowance.ts";
import { checkPlan, openFindings } from "../../../../shared/plan/safety/check-plan.ts";
import { planOf, rigOf, totalSite, withCue, withoutCue } from "../sites-and-rigs.ts";

const site = totalSite(150);
const telescope = (gets = site): Rig => {
  const rig = rigOf("visual-telescope");
  return { ...rig, cues: defaultCues(rig, gets) };
};
const viewfinder = rigOf("tripod-camera", { lookedThrough: true, focalLengthMm: 50 });

describe("S3: where somebody looks through", () => {
  test("the filter is off from C2+10, the eye away by C3−20, the filter seated by C3−10", () => {
    for (const rig of [rigOf("visual-telescope"), rigOf("binocular"), viewfinder])
      expect(filterAllowance(rig, site)).toEqual({
        offFrom: { anchor: "C2", offsetS: 10 },
        onFrom: { anchor: "C3", offsetS: -20 },
        onBy: { anchor: "C3", offsetS: -10 },
        eyeAwayBy: { anchor: "C3", offsetS: -20 },
      });
  });

  test("a totality under 40 s stays filtered, one of 40 s need not", () => {
    expect(filterAllowance(rigOf("binocular"), totalSite(39.9))).toBeNull();
    expect(filterAllowance(rigOf("binocular"), totalSite(40))).not.toBeNull();
    expect(defaultCues(rigOf("binocular"), totalSite(39.9)).map((cue) => cue.action)).not.toContain(
      "filter-off",
    );
    expect(defaultCues(rigOf("binocular"), totalSite(40)).map((cue) => cue.action)).toContain("filter-off");
    expect(checkPlan(planOf(telescope(site)), totalSite(39))).toMatchObject([
      { rule: "S3", severity: "blocks", code: "totality-too-short" },
    ]);
  });

  test.each([
    ["filter-off", { offsetS: 9 }, "filter-off-too-early", "offsetS"],
    ["filter-off", { earliestS: -1 }, "filter-off-too-early", "earliestS"],
    ["filter-off", { latestS: 121 }, "filter-off-too-late", "latestS"],
    ["eyes-away", { offsetS: -19, latestS: 0 }, "eyes-away-too-late", "offsetS"],
    ["eyes-away", { latestS: 6 }, "eyes-away-too-late", "latestS"],
    ["filter-on", { offsetS: -9 }, "filter-on-too-late", "offsetS"],
    ["filter-on", { latestS: 9 }, "filter-on-too-late", "latestS"],
  ] as const)("a plan with %s changed by %j is refused", (cueId, change, code, field) => {
    const rig = withCue(telescope(), cueId, change);
    const index = rig.cues.findIndex((cue) => cue.id === cueId);
    expect(checkPlan(planOf(rig), site)).toMatchObject([
      { rule: "S3", severity: "blocks", code, cueId, field: `rigs.0.cues.${index}.${field}` },
    ]);
  });

  test("the eye-away cue cannot be taken out or switched off while the filter comes off", () => {
    expect(checkPlan(planOf(withoutCue(telescope(), "eyes-away")), site)).toMatchObject([
      { rule: "S3", severity: "blocks", code: "eyes-away-missing", field: "rigs.0.cues" },
    ]);
    expect(checkPlan(planOf(withCue(telescope(), "eyes-away", { on: false })), site)).toMatchObject([
      { rule: "S3", code: "eyes-away-missing", cueId: "eyes-away" },
    ]);
  });

  test("eyes-away and filter-on wait until the window of the filter-off is over", () => {
    // Off at C2+10…+70; the eye away at C3−100 is C2+50 here.
    const late = withCue(withCue(telescope(), "eyes-away", { offsetS: -100 }), "filter-off", { latestS: 60 });
    const index = late.cues.findIndex((cue) => cue.id === "filter-off");
    expect(checkPlan(planOf(late), site)).toMatchObject([
      {
        rule: "S3",
        severity: "blocks",
        code: "filter-off-too-late",
        field: `rigs.0.cues.${index}.latestS`,
        data: { limitS: -100 },
      },
    ]);
    expect(checkPlan(planOf(withCue(late, "filter-off", { latestS: 40 })), site)).toEqual([]);
    const again = { ...late.cues.find((cue) => cue.id === "eyes-away")!, id: "again", offsetS: -25 };
    expect(checkPlan(planOf({ ...late, cues: [...late.cues, again] }), site)).toEqual([]);
  });

  test("in every accepted plan they come after every filter-off, for whoever looks through and for cameras", () => {
    const change = fc.record({
      offsetS: fc.integer({ min: -140, max: 140 }),
      latestS: fc.integer({ min: 0, max: 140 }),
      on: fc.constantFrom(true, true, true, false),
    });
    const anyRig = fc.constantFrom("visual-telescope" as const, "tripod-camera" as const);
    let accepted = 0;
    fc.assert(
      fc.property(
        anyRig,
        fc.integer({ min: 40, max: 300 }),
        change,
        change,
        change,
        (kind, s, off, away, on) => {
          const gets = totalSite(s);
          const plain = rigOf(kind);
          let rig: Rig = { ...plain, cues: defaultCues(plain, gets) };
          rig = withCue(withCue(rig, "filter-off", off), "filter-on", { ...on, earliestS: 0 });
          if (kind === "visual-telescope") rig = withCue(rig, "eyes-away", away);
          const plan = { ...planOf(rig), acknowledged: [{ rule: "S4", rigId: rig.id, by: "Lead" }] };
          if (openFindings(checkPlan(plan, gets)).length > 0 || !off.on) return;
          accepted++;
          const last = off.offsetS + off.latestS;
          expect(on.on).toBe(true);
          expect(s + on.offsetS).toBeGreaterThanOrEqual(last);
          if (kind === "tripod-camera") return;
          expect(away.on).toBe(true);
          expect(s + away.offsetS).toBeGreaterThanOrEqual(last);
        },
      ),
      { seed: 3, numRuns: 6000 },
    );
    expect(accepted).toBeGreaterThan(30);
  });

  test("a filter-off cue hangs on C2 and nothing else", () => {
    const rig = withCue(telescope(), "filter-off", { anchor: "max", offsetS: -20 });
    expect(checkPlan(planOf(rig), site)).toMatchObject([
      { rule: "S3", severity: "blocks", code: "filter-off-anchor" },
    ]);
  });

  test("a repeat does not carry filter-off past the end", () => {
    const repeat = { everyS: 60, until: { anchor: "C3" as const, offsetS: 0 } };
    const rig = withCue(telescope(), "filter-off", { repeat });
    const found = checkPlan(planOf(rig), site);
    expect(found.map((one) => [one.rule, one.code])).toContainEqual(["S3", "filter-off-too-late"]);
  });

  test("nor does one until a moment that nobody knows yet", () => {
    const repeat = { everyS: 60, until: { anchor: "beadsC3" as const, offsetS: 600 } };
    const rig = withCue(telescope(), "filter-off", { repeat });
    expect(checkPlan(planOf(rig), site)).toMatchObject([
      { rule: "S3", severity: "blocks", field: expect.stringMatching(/\.repeat$/) },
    ]);
  });

  test("a camera's list breaks the rule as soon as somebody looks through its viewfinder", () => {
    const camera = rigOf("tripod-camera", { focalLengthMm: 50 });
    const rig = { ...camera, cues: defaultCues(camera, site), lookedThrough: true };
    expect(checkPlan(planOf(rig), site).map((one) => one.rule)).toContain("S3");
  });

  test("optics that somebody looks through have a filter", () => {
    expect(checkPlan(planOf({ ...viewfinder, filter: "none by design" }), site)).toMatchObject([
      { rule: "S3", severity: "blocks", code: "no-filter-on-optics", field: "rigs.0.filter" },
    ]);
  });
});
