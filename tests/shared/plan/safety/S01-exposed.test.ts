/**
 * S1. Exposed outside the allowance is danger, so a filter that comes off has its way back on.
 * Source of the frame: NASA eye-safety text and NASA/AAS joint statement 2017 (filters on at all
 * times except in totality). The seconds are those of S3 and S4: common practice, no source.
 */
import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { defaultCues } from "../../../../shared/plan/defaults/default-cues.ts";
import type { Rig } from "../../../../shared/plan/model/plan.ts";
import { CUE_ACTIONS, CUE_ANCHORS } from "../../../../shared/plan/model/vocabulary.ts";
import { checkPlan, openFindings } from "../../../../shared/plan/safety/check-plan.ts";
import { anyRig, anyTotalSite, planOf, rigOf, totalSite, withCue, withoutCue } from "../sites-and-rigs.ts";

const site = totalSite(150);
const listed = (rig: Rig, gets = site) => ({ ...rig, cues: defaultCues(rig, gets) });
const findings = (rig: Rig, gets = site) => openFindings(checkPlan(planOf(rig), gets));

describe("S1: a filter that comes off goes on again", () => {
  test("so filter-on cannot be taken out while filter-off stays", () => {
    for (const kind of ["tracked-telescope", "visual-telescope", "video-camera"] as const) {
      const [first, ...more] = findings(withoutCue(listed(rigOf(kind)), "filter-on"));
      expect(first).toMatchObject({
        rule: "S1",
        severity: "blocks",
        code: "filter-on-missing",
        field: "rigs.0.cues",
      });
      expect(more).toEqual([]);
    }
  });

  test("nor switched off, and the finding points at the switch", () => {
    const rig = withCue(listed(rigOf("tracked-telescope")), "filter-on", { on: false });
    const index = rig.cues.findIndex((cue) => cue.id === "filter-on");
    expect(findings(rig)).toMatchObject([
      { rule: "S1", severity: "blocks", cueId: "filter-on", field: `rigs.0.cues.${index}.on` },
    ]);
  });

  test("nor hung on another contact than C3, which it would not follow", () => {
    const rig = withCue(listed(rigOf("tracked-telescope")), "filter-on", { anchor: "max", offsetS: 60 });
    expect(findings(rig)).toMatchObject([{ rule: "S1", code: "filter-on-missing" }]);
  });

  test("but both may go together: the filter stays on then", () => {
    expect(
      findings(withoutCue(withoutCue(listed(rigOf("tracked-telescope")), "filter-on"), "filter-off")),
    ).toEqual([]);
    const off = withCue(listed(rigOf("tracked-telescope")), "filter-off", { on: false });
    expect(findings(withCue(off, "filter-on", { on: false }))).toEqual([]);
  });

  test("whatever is edited: what passes keeps every filter on outside the allowance, at the worst ends of all windows", () => {
    const edit = fc.record({
      cue: fc.nat(40),
      change: fc.oneof(
        fc.record({ offsetS: fc.integer({ min: -400, max: 400 }) }),
        fc.record({ on: fc.constant(false) }),
        fc.record({ anchor: fc.constantFrom(...CUE_ANCHORS) }),
        fc.record({ action: fc.constantFrom(...CUE_ACTIONS) }),
        fc.record({ earliestS: fc.integer({ min: -100, max: 0 }) }),
        fc.record({ latestS: fc.integer({ min: 0, max: 100 }) }),
        fc.record({
          repeat: fc.record({
            everyS: fc.integer({ min: 5, max: 100 }),
            until: fc.constantFrom(...CUE_ANCHORS).map((anchor) => ({ anchor, offsetS: 0 })),
          }),
        }),
      ),
    });
    let passed = 0;
    fc.assert(
      fc.property(
        anyRig,
        anyTotalSite,
        fc.array(edit, { minLength: 1, maxLength: 3 }),
        (rig, gets, edits) => {
          const list = listed(rig, gets);
          const cues = [...list.cues];
          for (const { cue, change } of edits) {
            const at = cue % Math.max(1, cues.length);
            const old = cues[at];
            if (old) cues[at] = { ...old, ...change };
          }
          if (findings({ ...rig, cues }, gets).length > 0) return;
          passed++;
          // An oracle of its own: offsets from C2 and C3 in seconds, no code of the checks.
          const { c1, c2, max, c3, c4 } = gets.contacts;
          const at = { C1: c1!, C2: c2!, max: max!, C3: c3!, C4: c4! };
          const due = (cue: (typeof cues)[number]) =>
            (at as Partial<Record<string, number>>)[cue.anchor]! + cue.offsetS * 1000;
          const looked = rig.lookedThrough || rig.kind === "visual-telescope" || rig.kind === "binocular";
          const focal = rig.focalLengthMm ?? Infinity;
          const earlyS = looked ? -10 : focal <= 100 ? 45 : focal <= 500 ? 30 : 20;
          const onByS = looked ? -10 : 15;
          for (const off of cues.filter((cue) => cue.on && cue.action === "filter-off")) {
            expect(due(off) + off.earliestS * 1000).toBeGreaterThanOrEqual(c2! - earlyS * 1000 - 1);
            if (off.repeat) expect(at).toHaveProperty(off.repeat.until.anchor);
            const on = cues.filter(
              (cue) =>
                cue.on &&
                cue.action === "filter-on" &&
                due(cue) > due(off) &&
                due(cue) + cue.latestS * 1000 <= c3! + onByS * 1000 + 1,
            );
            expect(on.length).toBeGreaterThan(0);
          }
        },
      ),
      { numRuns: 3000 },
    );
    expect(passed).toBeGreaterThan(300);
  });
});
