/** POST /api/plan/check: what would come of a plan, and nothing is saved. */
import * as v from "valibot";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { AssessmentAnswer } from "../../../hub/http/assessment-answer.ts";
import { withMend, withoutMend } from "../../../shared/plan/assess/apply-mend.ts";
import { defaultCues } from "../../../shared/plan/defaults/default-cues.ts";
import { rigOf, totalSite } from "../../shared/plan/sites-and-rigs.ts";
import { LUXOR_PLAN, startTestHub, type TestHub } from "../../support/test-hub.ts";

let hub: TestHub;
let lead: string;
beforeAll(async () => {
  hub = await startTestHub();
  lead = await hub.signIn();
});
afterAll(async () => {
  await hub.stop();
  expect(hub.errors).toEqual([]);
});

const site = LUXOR_PLAN.site;
const rig = (id: string, more: object = {}) => ({
  id,
  name: `Rig ${id}`,
  kind: "tracked-telescope",
  operator: "Ann",
  focalLengthMm: 480,
  ...more,
});
const plan = (...rigs: object[]) => ({ eclipse: "2027-08-02", site, rigs });
const check = async (body: unknown): Promise<any> => {
  const answer = await hub.call("POST", "/api/plan/check", body, lead);
  expect(answer.status).toBe(200);
  v.parse(AssessmentAnswer, answer.body);
  return answer.body;
};

describe("a plan that is looked at before it is saved", () => {
  it("one person with four rigs: the hands are too few, and what is offered would do", async () => {
    const { hands, findings } = await check(plan(...["a", "b", "c", "d"].map((id) => rig(id))));
    expect(hands).toHaveLength(1);
    expect(hands[0]).toMatchObject({ operator: "Ann", feasible: false, slackS: null });
    expect(hands[0].mends.length).toBeGreaterThan(0);
    expect(findings.find(({ code }: { code: string }) => code === "hands-too-few")).toMatchObject({
      severity: "advice",
      data: { operator: "Ann" },
    });
    // Nothing that makes things safe is ever offered to be left out.
    for (const { changes } of hands[0].mends)
      for (const change of changes)
        if (change.kind === "drop") expect(change.cueId).not.toMatch(/filter-on|cap/);
  });

  it("what is offered can be saved, and one mend after the other makes the plan feasible", async () => {
    let asked = plan(...["a", "b", "c", "d"].map((id) => rig(id)));
    const saved = await hub.call("PUT", "/api/plan", asked, lead, { "If-Match": "*" });
    asked = saved.body;
    for (let taken = 0; taken < 4; taken++) {
      const { hands, findings } = await check(asked);
      expect(findings.filter(({ severity }: { severity: string }) => severity === "refused")).toEqual([]);
      if (hands.every(({ feasible }: { feasible: boolean }) => feasible)) return;
      const [mend] = hands.find(({ feasible }: { feasible: boolean }) => !feasible).mends;
      const mended = withMend(asked as any, mend.changes, "Ben");
      // Taken back field by field it is the plan of before.
      expect(withoutMend(mended, mend.changes, asked as any)).toEqual(asked);
      asked = mended;
    }
    throw new Error("four mends were not enough");
  });

  it("one rig a person: everything can be done, in the order of its list", async () => {
    const { hands } = await check(plan(rig("a"), rig("b", { operator: "Ben" })));
    expect(hands.map((one: any) => [one.operator, one.feasible])).toEqual([
      ["Ann", true],
      ["Ben", true],
    ]);
    const off = hands[0].order.find(({ cueId }: { cueId: string }) => cueId === "filter-off");
    expect(off).toMatchObject({ anchor: "C2", rigId: "a" });
    expect(off.startS).toBeGreaterThanOrEqual(-30);
    expect(off.startS).toBeLessThanOrEqual(10);
  });

  it("equipment gives exposures, framing, card and battery", async () => {
    const equipment = {
      fNumber: 8,
      iso: 100,
      frameMB: 25,
      cardGB: 1,
      batteryWh: 20,
      drawW: 10,
      tracking: "none",
    };
    const sensor = { widthMm: 36, heightMm: 24, widthPx: 6000, heightPx: 4000 };
    const body = await check(plan(rig("a", { equipment: { ...equipment, sensor } })));
    const budget = body.budgets.a;
    const prominences = budget.exposure.find((line: any) => line.phenomenon === "prominences");
    // NASA RP 1369, Table 16: ISO 100, f/8: 1/1000 s (the formula gives 1/800).
    expect(Math.abs(Math.log2(prominences.seconds * 1000))).toBeLessThan(0.5);
    expect(prominences.stop).toBe("1/800");
    // 480 mm: 480 / 109 mm (RP 1398), to 2 %; 6 µm pixels.
    expect(budget.framing.sunMm).toBeCloseTo(480 / 109, 0);
    expect(budget.framing.sunPx).toBeCloseTo(budget.framing.sunMm / 0.006, 6);
    // 15.04″/s · cos 17.8° at 480 mm: 5.5 px/s (arithmetic).
    expect(budget.framing.driftPxPerS).toBeCloseTo(5.54, 1);
    expect(budget.storageGB).toBeCloseTo((budget.frames * 25) / 1000, 6);
    const codes = body.findings.map(({ code }: { code: string }) => code);
    expect(codes).toContain("battery-short");
  });

  it("says in the rules' own words what would be refused, and saves nothing", async () => {
    const before = (await hub.call("GET", "/api/plan", undefined, lead)).body.revision;
    const saved = await hub.call("PUT", "/api/plan", plan(rig("a")), lead, { "If-Match": "*" });
    const cues = saved.body.rigs[0].cues.filter(({ action }: { action: string }) => action !== "filter-on");
    const { findings } = await check(plan(rig("a", { cues })));
    expect(findings.find(({ severity }: { severity: string }) => severity === "refused")).toMatchObject({
      rule: "S1",
      rigId: "a",
    });
    expect((await hub.call("GET", "/api/plan", undefined, lead)).body.revision).toBe(before + 1);
  });

  it("names what is wrong, and is for leads alone", async () => {
    expect((await hub.call("POST", "/api/plan/check", plan())).status).toBe(401);
    const bad = await hub.call("POST", "/api/plan/check", plan(rig("a", { equipment: { iso: 0 } })), lead);
    expect(bad).toMatchObject({ status: 400, body: { error: { field: "rigs.0.equipment.iso" } } });
    const none = await hub.call("POST", "/api/plan/check", { ...plan(), eclipse: "2027-08-03" }, lead);
    expect(none).toMatchObject({ status: 400, body: { error: { field: "eclipse" } } });
  });

  it("without a place there is nothing to say of hands and budgets", async () => {
    expect(await check({ rigs: [rig("a")] })).toEqual({ findings: [], hands: [], budgets: {} });
  });
});

describe("work for two and a shared tool", () => {
  it("stand in the plan, and the check tells who helps whom and when", async () => {
    const filters = defaultCues(rigOf("tracked-telescope"), totalSite(240)).filter(
      ({ action }) => action === "filter-off" || action === "filter-on",
    );
    const cues = filters.map((cue) =>
      cue.action === "filter-off" ? { ...cue, people: 2, tool: "Key" } : cue,
    );
    const rigs = ["Ada", "Ben"].map((operator, i) => rig(`two-${i}`, { operator, cues }));
    const found = await check(plan(...rigs));
    expect(found.hands.map(({ feasible }: any) => feasible)).toEqual([true, true]);
    for (const { order, operator } of found.hands) {
      const together = order.filter(({ cueId }: any) => cueId === "filter-off");
      expect(together.map(({ with: others }: any) => others)).toEqual(
        [0, 1].map(() => [operator === "Ada" ? "Ben" : "Ada"]),
      );
    }
    const alone = await check(plan(...rigs.slice(0, 1)));
    expect(alone.findings).toContainEqual(
      expect.objectContaining({
        code: "hands-alone",
        rigId: "two-0",
        cueId: "filter-off",
        severity: "advice",
      }),
    );
    const wrong = rig("two-0", { cues: cues.map((cue) => ({ ...cue, people: 3 })) });
    const refused = await hub.call("POST", "/api/plan/check", plan(wrong), lead);
    expect(refused).toMatchObject({
      status: 400,
      body: { error: { code: "bad-input", field: "rigs.0.cues.0.people" } },
    });
  });
});
