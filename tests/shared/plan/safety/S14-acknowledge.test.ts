/** S14. A decision of this project: which rules a lead may put their name to. */
import { describe, expect, test } from "vitest";
import { defaultCues } from "../../../../shared/plan/defaults/default-cues.ts";
import { EMPTY_PLAN } from "../../../../shared/plan/model/empty-plan.ts";
import { checkPlan, openFindings } from "../../../../shared/plan/safety/check-plan.ts";
import { RULE_NUMBERS, RULES } from "../../../../shared/plan/safety/rules.ts";
import { settlePlan } from "../../../../shared/plan/settle-plan.ts";
import { planOf, rigOf, totalSite, withCue, words } from "../sites-and-rigs.ts";

const site = totalSite(150);
const rig = rigOf("tracked-telescope", { focalLengthMm: 1000 });
const early = withCue({ ...rig, cues: defaultCues(rig, site) }, "filter-off", { offsetS: -30 });
const acknowledged = [{ rule: "S4", rigId: "rig-1", by: "Amira" }];

describe("S14: eye rules block, sensor rules may be acknowledged by name", () => {
  test("and every rule has a number, a kind and a sentence, the same as the page's English", () => {
    expect(Object.keys(RULES)).toEqual([...RULE_NUMBERS]);
    for (const number of RULE_NUMBERS) expect(words[`rule.${number}`]).toBe(RULES[number].sentence);
    expect(RULE_NUMBERS.filter((number) => RULES[number].kind === "sensor")).toEqual(["S4"]);
  });

  test("so a long lens unfiltered 30 s early is refused until a lead puts their name to it", () => {
    const refused = settlePlan(planOf(early), EMPTY_PLAN, site, site);
    expect(refused).toMatchObject({ refusal: { code: "needs-acknowledgement", rule: "S4" } });
    const settled = settlePlan({ ...planOf(early), acknowledged }, EMPTY_PLAN, site, site);
    expect(settled).toMatchObject({ plan: { acknowledged, rigs: [early] } });
  });

  test("and the finding carries the name", () => {
    const found = checkPlan({ ...planOf(early), acknowledged }, site);
    expect(found).toMatchObject([{ rule: "S4", severity: "acknowledge", acknowledgedBy: "Amira" }]);
    expect(openFindings(found)).toEqual([]);
  });

  test("for that rig and that rule only", () => {
    const other = { ...planOf(early), acknowledged: [{ rule: "S4", rigId: "rig-2", by: "Amira" }] };
    expect(openFindings(checkPlan(other, site))).toHaveLength(1);
    const wrong = { ...planOf(early), acknowledged: [{ rule: "S3", rigId: "rig-1", by: "Amira" }] };
    expect(openFindings(checkPlan(wrong, site))).toHaveLength(1);
  });

  test("but never for a filter that hangs on the wrong contact or does not come on again", () => {
    const adrift = withCue(early, "filter-off", { anchor: "max", offsetS: -60 });
    expect(openFindings(checkPlan({ ...planOf(adrift), acknowledged }, site))).toMatchObject([
      { rule: "S4", severity: "blocks", code: "filter-off-anchor" },
    ]);
    const open = withCue(early, "filter-on", { on: false });
    expect(openFindings(checkPlan({ ...planOf(open), acknowledged }, site))).toMatchObject([{ rule: "S1" }]);
  });

  // Five minutes beyond the limit are common practice, no source.
  test("nor for minutes of bare Sun: a name excuses five minutes beyond the limit at most", () => {
    const severity = (cueId: string, offsetS: number) =>
      checkPlan({ ...planOf(withCue(early, cueId, { offsetS })), acknowledged }, site)
        .filter((one) => one.cueId === cueId)
        .map((one) => one.severity);
    // 1000 mm: off from C2−20 s, on by C3+15 s; the cues' own windows count, too.
    expect(severity("filter-off", -310)).toEqual(["acknowledge"]);
    expect(severity("filter-off", -330)).toEqual(["blocks"]);
    expect(severity("filter-on", 300)).toEqual(["acknowledge"]);
    expect(severity("filter-on", 330)).toEqual(["blocks"]);
  });

  test("and an acknowledgement that nothing asks for any more is taken out, and said so", () => {
    const plain = { ...rig, cues: defaultCues(rig, site) };
    const settled = settlePlan({ ...planOf(plain), acknowledged }, EMPTY_PLAN, site, site);
    expect(settled).toMatchObject({
      plan: { acknowledged: [] },
      notes: [{ code: "acknowledgement-dropped", rigId: "rig-1", data: { rule: "S4", by: "Amira" } }],
    });
  });
});
