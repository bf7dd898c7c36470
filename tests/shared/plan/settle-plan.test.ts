import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { defaultCues } from "../../../shared/plan/defaults/default-cues.ts";
import { type LocalEclipse, NO_ECLIPSE } from "../../../shared/plan/local-eclipse.ts";
import type { Cue } from "../../../shared/plan/model/cue.ts";
import { EMPTY_PLAN } from "../../../shared/plan/model/empty-plan.ts";
import type { Plan, PlanDraft, Rig, RigDraft } from "../../../shared/plan/model/plan.ts";
import type { PlanNote } from "../../../shared/plan/plan-note.ts";
import { checkPlan, openFindings } from "../../../shared/plan/safety/check-plan.ts";
import { settlePlan } from "../../../shared/plan/settle-plan.ts";
import {
  annularSite,
  anyRig,
  anySite,
  ownCue,
  partialSite,
  planOf,
  rigOf,
  totalSite,
  withCue,
  withoutCue,
  words,
} from "./sites-and-rigs.ts";

const site = totalSite(150);
const bare = (rig: Rig): RigDraft => {
  const { cues: _cues, edits: _edits, ...rest } = rig;
  return rest;
};
const draftOf = (...rigs: RigDraft[]): PlanDraft => ({ ...EMPTY_PLAN, rigs });

function settled(
  draft: PlanDraft,
  previous: Plan,
  gets: LocalEclipse,
  previousGets: LocalEclipse,
): { plan: Plan; notes: PlanNote[] } {
  const result = settlePlan(draft, previous, gets, previousGets);
  if ("refusal" in result) throw new Error(result.refusal.message);
  return result;
}

/** The plan as saved with one rig's default cues, and then with the lead's edits to it. */
const first = settled(draftOf(bare(rigOf("tracked-telescope"))), EMPTY_PLAN, site, NO_ECLIPSE).plan;
const edited = (change: (rig: Rig) => Rig): Plan =>
  settled({ ...first, rigs: first.rigs.map(change) }, first, site, site).plan;
const cueOf = (plan: Plan, id: string): Cue | undefined => plan.rigs[0]?.cues.find((cue) => cue.id === id);

describe("settling a plan", () => {
  test("gives a rig without cues the default list, and the plan the next revision", () => {
    expect(first.revision).toBe(1);
    expect(first.rigs[0]?.cues).toEqual(defaultCues(rigOf("tracked-telescope"), site));
  });

  test("keeps an edit that the rules allow, and counts on from the previous revision", () => {
    const plan = edited((rig) => withCue(rig, "corona-brackets", { offsetS: 12, say: "Nine frames." }));
    expect(plan.revision).toBe(2);
    expect(cueOf(plan, "corona-brackets")).toMatchObject({ offsetS: 12, say: "Nine frames." });
  });

  test("refuses an edit that breaks an eye rule, with its number and sentence, and saves nothing", () => {
    const rigs = [withCue(first.rigs[0]!, "filter-on", { on: false })];
    const result = settlePlan({ ...first, rigs }, first, site, site);
    expect(result).not.toHaveProperty("plan");
    expect(result).toMatchObject({
      refusal: { code: "breaks-rule", rule: "S1", field: expect.stringMatching(/^rigs\.0\.cues\.\d+\.on$/) },
    });
    if ("refusal" in result) expect(result.refusal.message).toMatch(/^S1: The Sun is exposed whenever/);
  });

  test("refuses two rigs with one id by the field", () => {
    const draft = draftOf(bare(rigOf("tripod-camera")), bare(rigOf("video-camera")));
    expect(settlePlan(draft, EMPTY_PLAN, site, site)).toMatchObject({
      refusal: { code: "duplicate-rig-id", field: "rigs.1.id" },
    });
  });

  test("derives the list anew when the site moves out of the path, and back", () => {
    const away = settled(first, first, partialSite(), site);
    expect(away.plan.rigs[0]?.cues).toEqual(defaultCues(rigOf("tracked-telescope"), partialSite()));
    expect(away.notes).toEqual([{ code: "cues-derived", rigId: "rig-1", data: {} }]);
    const back = settled(away.plan, away.plan, site, partialSite());
    expect(back.plan.rigs[0]?.cues).toEqual(first.rigs[0]?.cues);
  });

  test("carries the lead's edits to the new place where they are still allowed", () => {
    let plan = edited((rig) => withCue(rig, "cap-stop", { say: "Cap, then home." }));
    plan = settled(
      {
        ...plan,
        rigs: [{ ...plan.rigs[0]!, cues: [...plan.rigs[0]!.cues, ownCue({ anchor: "max", say: "Birds?" })] }],
      },
      plan,
      site,
      site,
    ).plan;
    const moved = settled(plan, plan, annularSite(200), site);
    expect(cueOf(moved.plan, "cap-stop")?.say).toBe("Cap, then home.");
    expect(cueOf(moved.plan, "own")?.say).toBe("Birds?");
    expect(cueOf(moved.plan, "filter-off")).toBeUndefined();
  });

  test("names each edit that cannot come along", () => {
    const plan = edited((rig) => withCue(rig, "filter-off", { say: "Off with it." }));
    const moved = settled(plan, plan, partialSite(), site);
    expect(moved.notes).toContainEqual({
      code: "cue-dropped",
      rigId: "rig-1",
      cueId: "filter-off",
      data: { say: "Off with it." },
    });
  });

  test("drops an offset that a longer lens forbids, keeps the words beside it, and says so", () => {
    const wide = settled(
      { ...first, rigs: [{ ...first.rigs[0]!, focalLengthMm: 80 }] },
      first,
      site,
      site,
    ).plan;
    const early = settled(
      { ...wide, rigs: [withCue(wide.rigs[0]!, "filter-off", { offsetS: -34, say: "Now off." })] },
      wide,
      site,
      site,
    ).plan;
    const long = settled({ ...early, rigs: [{ ...early.rigs[0]!, focalLengthMm: 2000 }] }, early, site, site);
    expect(cueOf(long.plan, "filter-off")).toMatchObject({ offsetS: -20, say: "Now off." });
    expect(long.notes).toContainEqual({
      code: "edit-dropped",
      rigId: "rig-1",
      cueId: "filter-off",
      field: "offsetS",
      data: { rule: "S4" },
    });
  });

  test("leaves out again what the lead had taken out, filter-off and filter-on together", () => {
    const plan = edited((rig) =>
      withoutCue(withoutCue(withoutCue(rig, "burst-after"), "filter-off"), "filter-on"),
    );
    const moved = settled(plan, plan, totalSite(200), site);
    const ids = moved.plan.rigs[0]?.cues.map((cue) => cue.id);
    expect(ids).not.toContain("burst-after");
    expect(ids).not.toContain("filter-off");
    expect(ids).not.toContain("filter-on");
    expect(ids).toContain("corona-brackets");
  });

  test("never takes a filter-off cue of the lead's own to a partial site", () => {
    const off = ownCue({ id: "mine", action: "filter-off", offsetS: 20, say: "Mine." });
    const plan = edited((rig) => ({ ...rig, cues: [...rig.cues, off] }));
    const moved = settled(plan, plan, partialSite(), site);
    expect(cueOf(moved.plan, "mine")).toBeUndefined();
    expect(moved.notes).toContainEqual({
      code: "edit-dropped",
      rigId: "rig-1",
      cueId: "mine",
      data: { rule: "S2" },
    });
  });

  test("renames an own cue whose id the new list needs", () => {
    const partial = settled(
      draftOf(bare(rigOf("tracked-telescope"))),
      EMPTY_PLAN,
      partialSite(),
      NO_ECLIPSE,
    ).plan;
    const own = ownCue({ id: "look-up", anchor: "max", say: "Listen." });
    const plan = settled(
      { ...partial, rigs: [{ ...partial.rigs[0]!, cues: [...partial.rigs[0]!.cues, own] }] },
      partial,
      partialSite(),
      partialSite(),
    ).plan;
    const moved = settled(plan, plan, site, partialSite());
    expect(moved.plan.rigs[0]?.cues.find((cue) => cue.say === "Listen.")?.id).toBe("look-up-own1");
    expect(moved.notes).toContainEqual({
      code: "cue-renamed",
      rigId: "rig-1",
      cueId: "look-up-own1",
      data: { from: "look-up" },
    });
  });

  test("gives a rig its first list when the site is chosen after it", () => {
    const before = settled(draftOf(bare(rigOf("binocular"))), EMPTY_PLAN, NO_ECLIPSE, NO_ECLIPSE).plan;
    expect(before.rigs[0]?.cues).toEqual([]);
    const after = settled(before, before, site, NO_ECLIPSE).plan;
    expect(after.rigs[0]?.cues).toEqual(defaultCues(rigOf("binocular"), site));
  });

  test("derives anew when a rig's kind changes or somebody begins to look through it", () => {
    const looked = settled(
      { ...first, rigs: [{ ...first.rigs[0]!, lookedThrough: true }] },
      first,
      site,
      site,
    );
    expect(cueOf(looked.plan, "filter-off")).toMatchObject({ anchor: "C2", offsetS: 10 });
    expect(cueOf(looked.plan, "eyes-away")).toBeDefined();
  });

  test("refuses cues that were changed in the very save that moves the site, if they break a rule there", () => {
    const rigs = [withCue(first.rigs[0]!, "corona-brackets", { offsetS: 12 })];
    expect(settlePlan({ ...first, rigs }, first, partialSite(), site)).toMatchObject({
      refusal: { rule: "S2", data: { findings: [{ code: "filter-off-never" }, { rule: "S13" }] } },
    });
  });

  test("says when a draft without cues puts an edited list back to the defaults", () => {
    const plan = edited((rig) => withCue(rig, "cap-stop", { say: "Cap." }));
    const reset = settled({ ...plan, rigs: plan.rigs.map(bare) }, plan, site, site);
    expect(reset.plan.rigs[0]?.cues).toEqual(first.rigs[0]?.cues);
    expect(reset.notes).toEqual([{ code: "cues-reset", rigId: "rig-1", data: {} }]);
  });

  test("says which cues will not come because this site has no such contact", () => {
    const plan = edited((rig) => ({ ...rig, cues: [...rig.cues, ownCue({ say: "Shadow bands?" })] }));
    const moved = settled(plan, plan, partialSite(), site);
    expect(moved.notes).toContainEqual({
      code: "cue-without-contact",
      rigId: "rig-1",
      cueId: "own",
      data: { anchor: "C2" },
    });
  });

  test("changes nothing when nothing changed", () => {
    const again = settled(first, first, site, site);
    expect(again.plan).toEqual({ ...first, revision: 2 });
    expect(again.notes).toEqual([]);
  });

  test("moves any rig between any two sites into a plan that passes, and home again to the same list", () => {
    fc.assert(
      fc.property(anyRig, anySite, anySite, (rig, here, there) => {
        fc.pre(rig.filter === "front" || rig.kind === "projection" || rig.kind === "wide-camera");
        const start = settlePlan(draftOf(bare(rig)), EMPTY_PLAN, here, NO_ECLIPSE);
        if ("refusal" in start) {
          // Only optics that ought to have a filter are refused.
          expect(start.refusal.data.findings.map((one) => one.code)).toEqual(["no-filter-on-optics"]);
          return;
        }
        const moved = settled(start.plan, start.plan, there, here);
        expect(openFindings(checkPlan(moved.plan, there))).toEqual([]);
        expect(moved.plan.rigs[0]?.cues).toEqual(defaultCues(rig, there));
        const home = settled(moved.plan, moved.plan, here, there);
        expect(home.plan.rigs).toEqual(start.plan.rigs);
      }),
      { numRuns: 300 },
    );
  });

  test("has words for every note", () => {
    const codes: PlanNote["code"][] = [
      "cues-derived",
      "cues-reset",
      "edit-dropped",
      "cue-dropped",
      "cue-renamed",
      "cue-without-contact",
      "acknowledgement-dropped",
    ];
    for (const code of codes) expect(words).toHaveProperty([`plan-note.${code}`]);
  });

  test("leaves its arguments as they were", () => {
    const draft = draftOf(bare(rigOf("tracked-telescope")));
    const copy = structuredClone(draft);
    settlePlan(draft, EMPTY_PLAN, site, NO_ECLIPSE);
    expect(draft).toEqual(copy);
    expect(planOf().rigs).toEqual([]);
  });
});
