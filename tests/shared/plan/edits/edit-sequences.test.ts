/**
 * Whatever is edited, undone, copied and moved in whatever order: no saved plan holds a list, usual
 * or of a variant, that breaks a rule of the eye. The oracle (list-oracle.ts) is written from the
 * rules' text. Nobody acknowledges anything here, so sensor rules hold as well.
 */
import fc from "fast-check";
import * as v from "valibot";
import { describe, expect, it } from "vitest";
import { takenBack } from "../../../../shared/plan/edits/edit-list.ts";
import { followed } from "../../../../shared/plan/edits/follow.ts";
import { rigInVariant } from "../../../../shared/plan/edits/variant-cues.ts";
import { type LocalEclipse, NO_ECLIPSE } from "../../../../shared/plan/local-eclipse.ts";
import type { Cue } from "../../../../shared/plan/model/cue.ts";
import type { Edit } from "../../../../shared/plan/model/edit.ts";
import { EMPTY_PLAN } from "../../../../shared/plan/model/empty-plan.ts";
import type { Plan, PlanDraft, Rig, RigDraft } from "../../../../shared/plan/model/plan.ts";
import { PlanSchema } from "../../../../shared/plan/model/plan.ts";
import { CUE_ACTIONS, VARIANTS } from "../../../../shared/plan/model/vocabulary.ts";
import { checkVariant } from "../../../../shared/plan/safety/check-variant.ts";
import { settlePlan } from "../../../../shared/plan/settle-plan.ts";
import { anyRig, anySite, ownCue, rigOf, totalSite } from "../sites-and-rigs.ts";
import { troublesOf, variantTroubles } from "./list-oracle.ts";

const anyAnchor = fc.constantFrom("C1", "C2", "max", "C3", "C4", "beadsC2", "sunBack") as fc.Arbitrary<
  Cue["anchor"]
>;
const someS = fc.oneof(fc.integer({ min: -60, max: 60 }), fc.integer({ min: -900, max: 900 }));
/** Which cue of the list, as a fraction of it. */
const spot = fc.double({ min: 0, max: 0.999, noNaN: true });
const anyVariant = fc.constantFrom(...VARIANTS);
const anyChange: fc.Arbitrary<Partial<Cue>> = fc.oneof(
  someS.map((offsetS) => ({ offsetS })),
  fc.record({ anchor: anyAnchor, offsetS: someS }),
  fc
    .record({
      cueId: fc.constantFrom("filter-off", "filter-on", "burst-before", "eyes-away", "bead-after", "own"),
      byS: fc.integer({ min: -40, max: 40 }),
    })
    .map((along) => ({ along })),
  fc.boolean().map((on) => ({ on })),
  fc.constantFrom(...CUE_ACTIONS).map((action) => ({ action })),
  fc.constantFrom("cue.filter-off", "cue.look-up", "cue.cap-stop").map((key) => ({ key })),
  fc.integer({ min: -120, max: 0 }).map((earliestS) => ({ earliestS })),
  fc.integer({ min: 0, max: 120 }).map((latestS) => ({ latestS })),
  fc.constant({ say: "Own words.", handsS: 7 }),
  fc
    .integer({ min: 50, max: 6400 })
    .map((iso) => ({ camera: { exposuresS: [0.001, 0.25], iso, fNumber: 8 } })),
);

type Step =
  | { do: "list"; spot: number; change: Partial<Cue> }
  | { do: "take out"; spot: number }
  | { do: "own"; change: Partial<Cue> }
  | { do: "variant"; variant: (typeof VARIANTS)[number]; spot: number; change: Partial<Cue> | null }
  | { do: "undo"; variant: (typeof VARIANTS)[number] | null }
  | { do: "usual" }
  | { do: "copy" }
  | { do: "move"; to: LocalEclipse }
  | { do: "optics"; change: Partial<Rig> };

const anyStep: fc.Arbitrary<Step> = fc.oneof(
  { weight: 4, arbitrary: fc.record({ do: fc.constant("list" as const), spot, change: anyChange }) },
  { weight: 1, arbitrary: fc.record({ do: fc.constant("take out" as const), spot }) },
  { weight: 1, arbitrary: fc.record({ do: fc.constant("own" as const), change: anyChange }) },
  {
    weight: 4,
    arbitrary: fc.record({
      do: fc.constant("variant" as const),
      variant: anyVariant,
      spot,
      change: fc.option(anyChange, { freq: 5 }),
    }),
  },
  { weight: 1, arbitrary: fc.record({ do: fc.constant("undo" as const), variant: fc.option(anyVariant) }) },
  { weight: 1, arbitrary: fc.constant({ do: "usual" as const }) },
  { weight: 1, arbitrary: fc.constant({ do: "copy" as const }) },
  { weight: 3, arbitrary: anySite.map((to) => ({ do: "move" as const, to })) },
  {
    weight: 2,
    arbitrary: fc
      .oneof(
        fc.integer({ min: 8, max: 2000 }).map((focalLengthMm) => ({ focalLengthMm })),
        fc.boolean().map((lookedThrough) => ({ lookedThrough })),
        fc.boolean().map((publicQueue) => ({ publicQueue })),
        fc.boolean().map((unattended) => ({ unattended })),
      )
      .map((change) => ({ do: "optics" as const, change })),
  },
);

/** Lists as they stand, with a change to one cue. */
const cuesWith = (rig: Rig, at: number, change: Partial<Cue>): Cue[] => {
  const chosen = Math.floor(at * rig.cues.length);
  return rig.cues.map((cue, index) => (index === chosen ? { ...cue, ...change } : cue));
};

function editOf(cue: Cue, change: Partial<Cue> | null): Edit {
  const cueId = cue.id;
  const { action, key, anchor, offsetS, on, say, earliestS, latestS, camera } = { ...cue, ...change };
  if (change === null) return { do: "take out", cueId };
  if (change.along !== undefined) return { do: "hang", cueId, anchor, offsetS, along: change.along };
  if (change.anchor !== undefined) return { do: "hang", cueId, anchor, offsetS };
  if (change.offsetS !== undefined) return { do: "move", cueId, byS: change.offsetS };
  if (change.on !== undefined) return { do: "switch", cueId, on };
  if (change.action !== undefined || change.key !== undefined) return { do: "act", cueId, action, key };
  if (change.say !== undefined) return { do: "say", cueId, say };
  if (change.camera !== undefined) return { do: "camera", cueId, camera };
  return { do: "window", cueId, earliestS, latestS };
}

/** The plan that a lead would put, and where. */
function asked(plan: Plan, here: LocalEclipse, step: Step): { draft: PlanDraft; there: LocalEclipse } {
  const [rig, other] = plan.rigs as [Rig, Rig];
  const { cues: _cues, ...bare } = rig;
  const withRig = (changed: RigDraft): PlanDraft => ({ ...plan, rigs: [changed, other] });
  switch (step.do) {
    case "list":
      return { draft: withRig({ ...rig, cues: cuesWith(rig, step.spot, step.change) }), there: here };
    case "take out": {
      const gone = rig.cues[Math.floor(step.spot * rig.cues.length)];
      return { draft: withRig({ ...rig, cues: rig.cues.filter((cue) => cue !== gone) }), there: here };
    }
    case "own":
      return { draft: withRig({ ...rig, cues: [...rig.cues, ownCue(step.change)] }), there: here };
    case "variant": {
      const cue = rig.cues[Math.floor(step.spot * rig.cues.length)];
      if (!cue) return { draft: plan, there: here };
      const edits = [...(rig.variants?.[step.variant] ?? []), editOf(cue, step.change)];
      return {
        draft: withRig({ ...rig, variants: { ...rig.variants, [step.variant]: edits } }),
        there: here,
      };
    }
    case "undo": {
      if (step.variant === null)
        return { draft: withRig({ ...bare, edits: takenBack(rig.edits ?? []) }), there: here };
      const left = takenBack(rig.variants?.[step.variant] ?? []);
      return { draft: withRig({ ...rig, variants: { ...rig.variants, [step.variant]: left } }), there: here };
    }
    case "usual": {
      const { edits: _edits, ...fields } = bare;
      return { draft: withRig(fields), there: here };
    }
    case "copy":
      return { draft: withRig({ ...bare, edits: other.edits ?? [] }), there: here };
    case "move":
      return { draft: plan, there: step.to };
    case "optics":
      return { draft: withRig({ ...rig, ...step.change }), there: here };
  }
}

function expectSafe(plan: Plan, here: LocalEclipse): void {
  for (const rig of plan.rigs) {
    // Whoever reads a saved list need not know what goes along with what.
    for (const sky of ["clear", ...VARIANTS] as const) {
      const { cues } = rigInVariant(rig, sky);
      expect(followed(cues)).toEqual(cues);
    }
    expect(troublesOf(rig, rig.cues, here)).toEqual([]);
    for (const variant of VARIANTS) {
      const { cues } = rigInVariant(rig, variant);
      expect(troublesOf(rig, cues, here), variant).toEqual([]);
      expect(variantTroubles(rig.cues, cues), variant).toEqual([]);
    }
  }
}

describe("sequences of edits, moves and variants", () => {
  it("never end in a saved plan that breaks a rule of the eye, and always in one that can be read again", () => {
    let saved = 0;
    let inVariants = 0;
    fc.assert(
      fc.property(
        anyRig,
        anySite,
        fc.array(anyStep, { minLength: 1, maxLength: 14 }),
        (first, start, steps) => {
          fc.pre(first.filter === "front" || first.kind === "projection" || first.kind === "wide-camera");
          const { cues: _first, ...rig } = first;
          const { cues: _second, ...second } = rigOf("tracked-telescope", { id: "rig-2", name: "Rig two" });
          const begun = settlePlan({ ...EMPTY_PLAN, rigs: [rig, second] }, EMPTY_PLAN, start, NO_ECLIPSE);
          if ("refusal" in begun) return;
          let [plan, here] = [begun.plan, start];
          expectSafe(plan, here);
          for (const step of steps) {
            const { draft, there } = asked(plan, here, step);
            const result = settlePlan(draft, plan, there, here, { copied: step.do === "copy" });
            if ("refusal" in result) continue;
            [plan, here] = [result.plan, there];
            saved++;
            expectSafe(plan, here);
            expect(v.parse(PlanSchema, JSON.parse(JSON.stringify(plan)))).toEqual(plan);
            if (rigInVariant(plan.rigs[0]!, "thin") !== plan.rigs[0]) inVariants++;
          }
        },
      ),
      { numRuns: 150 },
    );
    expect(saved).toBeGreaterThan(150);
    expect(inVariants).toBeGreaterThan(10);
  }, 120_000);

  it("keep in every variant what makes safe by what it is, though its words send eyes up", () => {
    // Found after 11,207 sequences (seed -1429636292): taken out of a variant where there is no eclipse, and
    // then the site moved to where there is one.
    const own = { ...ownCue({}), on: true, key: "cue.look-up", action: "eyes-away" as const };
    const rig = rigOf("tracked-telescope", { cues: [own] });
    const codes = checkVariant(rig, 0, NO_ECLIPSE, "thin", []).map(({ code }) => code);
    expect(codes).toEqual(["variant-safe-cue"]);
    expect(checkVariant(rig, 0, NO_ECLIPSE, "thin", [own]).map(({ code }) => code)).not.toContain(
      "variant-safe-cue",
    );
  });

  it("come home to the very list that they left, when nothing was edited on the way", () => {
    fc.assert(
      fc.property(fc.array(anyChange, { minLength: 1, maxLength: 6 }), anySite, (changes, away) => {
        const home = totalSite(150);
        const { cues: _cues, ...rig } = rigOf("tracked-telescope");
        const begun = settlePlan({ ...EMPTY_PLAN, rigs: [rig] }, EMPTY_PLAN, home, NO_ECLIPSE);
        if ("refusal" in begun) throw new Error(begun.refusal.message);
        let { plan } = begun;
        for (const [n, change] of changes.entries()) {
          const first = plan.rigs[0]!;
          const rigs = [{ ...first, cues: cuesWith(first, n / changes.length, change) }];
          const edited = settlePlan({ ...plan, rigs }, plan, home, home);
          if (!("refusal" in edited)) plan = edited.plan;
        }
        const gone = settlePlan(plan, plan, away, home);
        if ("refusal" in gone) throw new Error(gone.refusal.message);
        const back = settlePlan(gone.plan, gone.plan, home, away);
        if ("refusal" in back) throw new Error(back.refusal.message);
        const byId = (one: Plan) => [...one.rigs[0]!.cues].sort((a, b) => (a.id < b.id ? -1 : 1));
        expect(byId(back.plan)).toEqual(byId(plan));
      }),
      { numRuns: 80 },
    );
  }, 60_000);
});
