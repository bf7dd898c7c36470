/**
 * S2. Source: NASA eye-safety text (eclipse.gsfc.nasa.gov/SEhelp/safety.html) and NASA/AAS joint
 * statement 2017: partial and annular phases are never safe without filters. Narrowband
 * telescopes and public queues: common practice, no source.
 */
import fc from "fast-check";
import * as v from "valibot";
import { describe, expect, test } from "vitest";
import { defaultCues } from "../../../../shared/plan/defaults/default-cues.ts";
import { NO_ECLIPSE } from "../../../../shared/plan/local-eclipse.ts";
import { EMPTY_PLAN } from "../../../../shared/plan/model/empty-plan.ts";
import { PlanDraftSchema } from "../../../../shared/plan/model/plan.ts";
import { filterAllowance } from "../../../../shared/plan/safety/allowance.ts";
import { checkPlan } from "../../../../shared/plan/safety/check-plan.ts";
import { settlePlan } from "../../../../shared/plan/settle-plan.ts";
import {
  annularSite,
  anyRig,
  anySite,
  ownCue,
  partialSite,
  planOf,
  rigOf,
  totalSite,
} from "../sites-and-rigs.ts";

const filterOff = ownCue({ id: "off", action: "filter-off", offsetS: 30, say: "Filter off." });
const never = { partial: partialSite(), annular: annularSite(300), none: NO_ECLIPSE };

describe("S2: never", () => {
  test("does any rig have an allowance at a site that is not total", () => {
    fc.assert(
      fc.property(anyRig, anySite, (rig, gets) => {
        if (gets.kind !== "total") expect(filterAllowance(rig, gets)).toBeNull();
      }),
    );
  });

  test("does a default list at such a site hold a filter-off cue", () => {
    fc.assert(
      fc.property(anyRig, anySite, (rig, gets) => {
        const off = defaultCues(rig, gets).some((cue) => cue.action === "filter-off");
        if (gets.kind !== "total" || rig.publicQueue || rig.kind === "narrowband-telescope")
          expect(off).toBe(false);
      }),
      { numRuns: 500 },
    );
  });

  test("is it hidden behind what else is wrong with the cue: the rule is what the refusal names", () => {
    const wordless = { ...filterOff, say: null };
    const draft = { ...planOf(rigOf("tracked-telescope", { cues: [wordless] })) };
    const site = { name: "Shore", latDeg: 36, lonDeg: 32.6 };
    const parsed = v.parse(PlanDraftSchema, { eclipse: "2027-08-02", site, rigs: draft.rigs });
    expect(settlePlan(parsed, EMPTY_PLAN, never.partial, NO_ECLIPSE)).toMatchObject({
      refusal: { code: "breaks-rule", rule: "S2", field: "rigs.0.cues.0.action" },
    });
  });

  for (const [kind, gets] of Object.entries(never))
    test(`can a filter-off cue be saved at a site that gets ${kind}, not even switched off`, () => {
      for (const on of [true, false]) {
        const rig = rigOf("tracked-telescope", { cues: [{ ...filterOff, on }] });
        expect(checkPlan(planOf(rig), gets)).toMatchObject([
          {
            rule: "S2",
            severity: "blocks",
            code: "filter-off-never",
            cueId: "off",
            field: "rigs.0.cues.0.action",
          },
        ]);
      }
    });

  test("can its words hide under another action", () => {
    const rig = rigOf("tracked-telescope", {
      cues: [{ ...filterOff, action: "burst", key: "cue.filter-off", say: null }],
    });
    expect(checkPlan(planOf(rig), partialSite())).toMatchObject([{ rule: "S2" }]);
  });

  test("can an acknowledgement lift it", () => {
    const plan = {
      ...planOf(rigOf("tracked-telescope", { cues: [filterOff] })),
      acknowledged: [{ rule: "S2", rigId: "rig-1", by: "Lead" }],
    };
    const [found] = checkPlan(plan, partialSite());
    expect(found).toMatchObject({ rule: "S2", severity: "blocks" });
    expect(found).not.toHaveProperty("acknowledgedBy");
  });

  test("does a narrowband telescope or a public eyepiece unfilter, even in totality", () => {
    for (const rig of [rigOf("narrowband-telescope"), rigOf("visual-telescope", { publicQueue: true })]) {
      expect(filterAllowance(rig, totalSite(300))).toBeNull();
      expect(checkPlan(planOf({ ...rig, cues: [filterOff] }), totalSite(300))).toMatchObject([
        { rule: "S2", severity: "blocks" },
      ]);
    }
  });

  test("does a narrowband telescope or a public eyepiece go without a filter by design", () => {
    for (const rig of [rigOf("narrowband-telescope"), rigOf("visual-telescope", { publicQueue: true })])
      expect(checkPlan(planOf({ ...rig, filter: "none by design" }), totalSite(300))).toMatchObject([
        { rule: "S2", severity: "blocks", field: "rigs.0.filter" },
      ]);
  });
});
