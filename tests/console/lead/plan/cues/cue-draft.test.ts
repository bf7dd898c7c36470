/** Working at a list: undo and redo, what differs, taking one thing back, other skies, mends. */

import * as v from "valibot";
import { describe, expect, it } from "vitest";
import { cameraOffers } from "../../../../../console/lead/plan/cues/camera-offers.ts";
import {
  asInBase,
  type CueDraft,
  cuesUnder,
  differences,
  withCue,
  withNewCue,
  withoutCue,
  withoutDifference,
} from "../../../../../console/lead/plan/cues/cue-draft.ts";
import { mendsOf } from "../../../../../console/lead/plan/cues/cue-mends.ts";
import { handsAtCues } from "../../../../../console/lead/plan/cues/hands-at-cues.ts";
import { begun, changed, redone, undone } from "../../../../../console/lead/plan/cues/history.ts";
import { msAt, offsetAt } from "../../../../../console/lead/plan/cues/line-times.ts";
import { whyKey } from "../../../../../console/lead/plan/cues/why-cue.ts";
import { wrongCue } from "../../../../../console/lead/plan/cues/wrong-cue.ts";
import { timeLineLayout } from "../../../../../console/parts/time-line-layout.ts";
import { atOnce } from "../../../../../shared/eclipse/steps.ts";
import { type AssessedHands, assessPlan } from "../../../../../shared/plan/assess/assess-plan.ts";
import { rigBudget } from "../../../../../shared/plan/budgets/rig-budget.ts";
import { NO_ECLIPSE } from "../../../../../shared/plan/local-eclipse.ts";
import { EMPTY_PLAN } from "../../../../../shared/plan/model/empty-plan.ts";
import "../../../../../console/words/bundles/planner.ts";
import { defaultCues } from "../../../../../shared/plan/defaults/default-cues.ts";
import { CueSchema } from "../../../../../shared/plan/model/cue.ts";
import { NO_EQUIPMENT } from "../../../../../shared/plan/model/equipment.ts";
import { SiteSchema } from "../../../../../shared/plan/model/plan.ts";
import { CUES_MOST, RIG_KINDS } from "../../../../../shared/plan/model/vocabulary.ts";
import { checkRig } from "../../../../../shared/plan/safety/check-rig.ts";
import { checkVariant } from "../../../../../shared/plan/safety/check-variant.ts";
import { C2_MS, partialSite, rigOf, totalSite } from "../../../../shared/plan/sites-and-rigs.ts";

const gets = totalSite(180);
const SITE = v.parse(SiteSchema, { name: "Palm Field", latDeg: 25, lonDeg: 32 });
const rig = rigOf("tracked-telescope");
const usual = defaultCues(rig, gets);
const draft: CueDraft = { cues: usual, variants: {} };
const of = (work: CueDraft, id: string, sky: "clear" | "thin" = "clear") =>
  cuesUnder(work, sky).find((cue) => cue.id === id);

describe("the history of an afternoon at a list", () => {
  it("goes back and forth, and a new step ends what was ahead", () => {
    let work = begun(0);
    for (const next of [1, 2, 3]) work = changed(work, next, null);
    work = undone(undone(work));
    expect([work.now, redone(work).now]).toEqual([1, 2]);
    work = changed(work, 9, null);
    expect([work.now, redone(work).now, undone(work).now]).toEqual([9, 9, 1]);
    expect(undone(begun(5)).now).toBe(5);
  });

  it("takes letters of one field as one step, and those of the next field as another", () => {
    let work = begun("");
    for (const text of ["L", "Lo", "Loo"]) work = changed(work, text, "say focus");
    work = changed(work, "Loo!", "say tape");
    expect([undone(work).now, undone(undone(work)).now]).toEqual(["Loo", ""]);
  });
});

describe("what differs", () => {
  it("is a short list, of which one thing is taken back and the rest stays", () => {
    let work = withCue(draft, "clear", "filter-off", { offsetS: -25 });
    work = withCue(work, "clear", "retape", { on: false });
    const edits = differences(work, "clear", usual);
    expect(edits).toEqual([
      { do: "move", cueId: "filter-off", byS: -5 },
      { do: "switch", cueId: "retape", on: false },
    ]);
    const back = withoutDifference(work, "clear", usual, edits[0]!);
    expect(differences(back, "clear", usual)).toEqual([edits[1]]);
    expect(asInBase(work, "clear", usual, "retape").cues.find(({ id }) => id === "retape")?.on).toBe(true);
  });

  it("holds an own cue, which goes again, and one taken out, which comes back", () => {
    const added = withNewCue(draft, "clear");
    const id = added?.cueId ?? "";
    expect(v.is(CueSchema, of(added!.draft, id))).toBe(true);
    expect(differences(added!.draft, "clear", usual)).toMatchObject([{ do: "add", cueId: id }]);
    expect(withoutCue(added!.draft, "clear", id).cues).toEqual(usual);
    const without = withoutCue(draft, "clear", "retape");
    const [edit] = differences(without, "clear", usual);
    expect(withoutDifference(without, "clear", usual, edit!).cues).toHaveLength(usual.length);
  });

  it("gives every own cue an id of its own, and none beyond what a list may hold", () => {
    let work: CueDraft = draft;
    for (let n = usual.length; n < CUES_MOST; n++) work = withNewCue(work, "clear")!.draft;
    expect(new Set(work.cues.map(({ id }) => id)).size).toBe(CUES_MOST);
    expect(withNewCue(work, "clear")).toBeNull();
  });

  it("under another sky leaves the clear list alone, and follows it where nothing was said", () => {
    const thin = withCue(draft, "thin", "corona-brackets", { on: false });
    expect(thin.cues).toBe(draft.cues);
    expect(of(thin, "corona-brackets", "thin")?.on).toBe(false);
    const both = withCue(thin, "clear", "bead-before", { handsS: 33 });
    expect(of(both, "bead-before", "thin")?.handsS).toBe(33);
    expect(differences(both, "thin", usual)).toEqual([{ do: "switch", cueId: "corona-brackets", on: false }]);
  });
});

describe("a cue that goes along with another", () => {
  const along = withCue(draft, "clear", "retape", { along: { cueId: "filter-on", byS: 30 } });

  it("follows at once, keeps its new distance when it is dragged, and stands alone on a contact", () => {
    expect(of(along, "retape")).toMatchObject({ anchor: "C3", offsetS: 35 });
    const led = withCue(along, "clear", "filter-on", { offsetS: 2 });
    expect(of(led, "retape")).toMatchObject({ anchor: "C3", offsetS: 32 });
    const dragged = withCue(led, "clear", "retape", { offsetS: 40 });
    expect(of(dragged, "retape")).toMatchObject({ offsetS: 40, along: { cueId: "filter-on", byS: 38 } });
    expect(of(withCue(led, "clear", "retape", { anchor: "C3", offsetS: 90 }), "retape")).not.toHaveProperty(
      "along",
    );
  });

  it("follows under a sky for which the other was moved, whatever the clear list does since", () => {
    const thin = withCue(along, "thin", "filter-on", { offsetS: 3 });
    expect(of(thin, "retape", "thin")?.offsetS).toBe(33);
    const later = withCue(thin, "clear", "retape", { along: { cueId: "filter-on", byS: 60 } });
    expect(of(later, "retape", "thin")?.offsetS).toBe(63);
  });
});

describe("mends at a cue", () => {
  const askedOf = (work: CueDraft, sky: "clear" | "thin" = "clear") => ({
    rig: { ...rig, cues: [...work.cues] },
    sky,
    cues: cuesUnder(work, sky),
    base: sky === "clear" ? usual : work.cues,
    gets,
  });

  // S4: 400 mm may be open from C2−30 s on.
  it("narrow a window that reaches too far, to the second", () => {
    const early = withCue(draft, "clear", "filter-off", { offsetS: -25 });
    const [mend] = mendsOf("filter-off-too-early", "filter-off", askedOf(early));
    expect(mend).toMatchObject({ kind: "window", cue: { offsetS: -25, earliestS: -5, latestS: 30 } });
  });

  it("move a cue that comes too early to the first second that is allowed", () => {
    const early = withCue(draft, "clear", "filter-off", { offsetS: -50 });
    const mends = mendsOf("filter-off-too-early", "filter-off", askedOf(early));
    expect(mends.map(({ kind, cue }) => [kind, cue?.offsetS])).toEqual([
      ["move", -20],
      ["asBase", undefined],
    ]);
  });

  it("bring back what makes safe, where it was left out under a sky (S9)", () => {
    const open = withCue(draft, "thin", "filter-on", { on: false });
    const found = checkVariant({ ...rig, cues: usual }, 0, gets, "thin", [...cuesUnder(open, "thin")]);
    expect(found.length).toBeGreaterThan(0);
    for (const { code, cueId } of found) {
      const mends = mendsOf(code, cueId, askedOf(open, "thin"));
      expect(mends.length).toBeGreaterThan(0);
      for (const { cues } of mends)
        expect(checkVariant({ ...rig, cues: usual }, 0, gets, "thin", cues)).toEqual([]);
    }
  });

  it("all mend what they are offered for, and break nothing else, whatever was changed", () => {
    let offered = 0;
    for (const cue of usual)
      for (const part of [
        { offsetS: cue.offsetS - 40 },
        { offsetS: cue.offsetS + 40 },
        { on: false },
        { latestS: 500 },
      ]) {
        const work = withCue(draft, "clear", cue.id, part);
        const asked = askedOf(work);
        const before = checkRig(asked.rig, 0, gets);
        for (const { code, cueId } of before)
          for (const { cues } of mendsOf(code, cueId, asked)) {
            offered++;
            const after = checkRig({ ...rig, cues }, 0, gets);
            expect(after.length, `${cue.id} ${JSON.stringify(part)}`).toBeLessThan(before.length);
          }
      }
    expect(offered).toBeGreaterThan(5);
  });

  it("are none for what was not found", () => {
    expect(mendsOf("filter-off-too-early", "filter-off", askedOf(draft))).toEqual([]);
  });
});

describe("hands that have no time for a cue", () => {
  const four = ["rig-1", "rig-2", "rig-3", "rig-4"].map((id) => ({
    ...rig,
    id,
    name: id,
    operator: "Ann",
    cues: usual,
  }));
  const plan = { ...EMPTY_PLAN, site: SITE, rigs: four };
  const { hands } = atOnce(assessPlan(plan, EMPTY_PLAN, gets, NO_ECLIPSE));

  // Four filters go on from C3−15 s to C3+15 s, 8 s each and 5 s of walking: one of them too late (arithmetic).
  it("are said at the very cues that the check leaves undone, and at no others", () => {
    const said = four.flatMap((one) => handsAtCues(hands, one));
    const undone = hands.flatMap(({ dropped }) => dropped.map(({ rigId, cueId }) => `${rigId} ${cueId}`));
    expect(undone.length).toBeGreaterThan(0);
    expect(said.map(({ finding }) => `${finding.rigId} ${finding.cueId}`).sort()).toEqual(
      [...new Set(undone)].sort(),
    );
  });

  it("are mended here only by what changes nothing but this rig", () => {
    const [, , , last] = four;
    const dropped = [{ rigId: "rig-4", cueId: "corona-brackets", anchor: "C2" as const, atS: 8 }];
    const mend = (...changes: AssessedHands["mends"][number]["changes"]) => ({ changes, slackS: 3 });
    const drop = { kind: "drop" as const, rigId: "rig-4", cueId: "corona-brackets" };
    const mends = [
      mend(drop),
      mend({ kind: "earlier", rigId: "rig-4", cueId: "corona-brackets", byS: 4 }),
      mend(drop, { ...drop, rigId: "rig-1" }),
      mend({ kind: "hand-over", rigId: "rig-4", to: "" }),
    ];
    const [found] = handsAtCues([{ ...hands[0]!, dropped, mends }], last!);
    expect(found?.mends).toHaveLength(2);
    const changed = found?.mends.map(({ cues }) => cues.find(({ id }) => id === "corona-brackets"));
    expect(changed).toMatchObject([{ on: false }, { on: true, earliestS: -9 }]);
  });
});

describe("a place on the line", () => {
  const layout = timeLineLayout(gets.contacts)!;

  it("is read back as the instant that stands there", () => {
    for (const s of [-4600, -1800, -91, -20, 0, 90, 180, 250, 3000])
      expect(msAt(layout, layout.at(C2_MS + s * 1000)) - C2_MS).toBeCloseTo(s * 1000, 0);
    const partial = timeLineLayout(partialSite().contacts)!;
    expect(msAt(partial, partial.at(C2_MS)) - C2_MS).toBeCloseTo(0, 0);
  });

  it("is whole seconds near totality, tens elsewhere", () => {
    expect(offsetAt(layout, layout.at(C2_MS - 17_400), C2_MS)).toBe(-17);
    expect(offsetAt(layout, layout.at(C2_MS - 1_233_000), C2_MS)).toBe(-1230);
  });
});

describe("camera settings from the budget", () => {
  const equipment = { ...NO_EQUIPMENT, fNumber: 8, iso: 100 };
  const sky = {
    times: gets.contacts,
    sunRadiusArcsec: 950,
    maxAltitudeDeg: 60,
    declinationDeg: 17,
    heightM: 0,
  };
  const budget = rigBudget({ ...rig, cues: usual }, equipment, sky);
  const offersAt = (id: string) =>
    cameraOffers(usual.find((cue) => cue.id === id)!, budget, { ...rig, equipment });

  it("are as printed on the camera, with the ISO and f-number that they hold for", () => {
    // NASA RP 1369, Table 16: ISO 100, f/8, prominences 1/1000 s; the formula of the same page gives 1/800.
    const prominences = offersAt("filter-off").find((offer) => offer.of === "prominences");
    expect(prominences?.camera).toEqual({ exposuresS: [1 / 800], iso: 100, fNumber: 8 });
  });

  it("are first what fits the cue, and all may stand in a cue", () => {
    expect(["bead-before", "corona-brackets", "first-bite"].map((id) => offersAt(id)[0]?.of)).toEqual([
      "beads",
      "bracket",
      "partial",
    ]);
    for (const { camera } of offersAt("corona-brackets"))
      expect(v.is(CueSchema, { ...usual[0], camera })).toBe(true);
  });

  it("are none while the optics are not known", () => {
    expect(cameraOffers(usual[0]!, budget, { ...rig, equipment: NO_EQUIPMENT })).toEqual([]);
  });
});

describe("why a cue is there", () => {
  it("is said of every cue of every usual list, and of none of a lead's own", () => {
    for (const kind of RIG_KINDS)
      for (const site of [gets, partialSite()])
        for (const cue of defaultCues(rigOf(kind), site)) expect(whyKey(cue, true)).toMatch(/^cues\.why\./);
    expect(whyKey(usual[0]!, false)).toBeNull();
  });
});

describe("the cue that a refusal names", () => {
  it("is found by its place in the list, or by its id under a sky", () => {
    expect(wrongCue("rigs.2.cues.1.offsetS", usual)).toEqual({
      sky: "clear",
      cueId: usual[1]?.id,
      field: "offsetS",
    });
    expect(wrongCue("rigs.2.variants.thin.filter-on.on", usual)).toEqual({
      sky: "thin",
      cueId: "filter-on",
      field: "on",
    });
    for (const field of ["rigs.2.name", "rigs.2.cues.99.on", undefined])
      expect(wrongCue(field, usual)).toBeNull();
  });
});
