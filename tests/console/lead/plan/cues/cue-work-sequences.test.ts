/**
 * Whatever a lead does at the page's lists, in whatever order (cues changed, added, left out, taken back,
 * mended, undone and redone, under any sky, at any place), no save holds a list that breaks a rule of the
 * eye. The oracle is written from the rules' text and from nothing that the program does
 * (tests/shared/plan/edits/list-oracle.ts). And the page shows what the hub then has.
 */
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import {
  asInBase,
  baseUnder,
  type CueDraft,
  cuesUnder,
  differences,
  draftOf,
  type Sky,
  withCue,
  withCuesUnder,
  withNewCue,
  withoutCue,
  withoutDifference,
} from "../../../../../console/lead/plan/cues/cue-draft.ts";
import { mendsOf } from "../../../../../console/lead/plan/cues/cue-mends.ts";
import {
  begun,
  changed,
  type History,
  redone,
  undone,
} from "../../../../../console/lead/plan/cues/history.ts";
import { defaultCues } from "../../../../../shared/plan/defaults/default-cues.ts";
import { rigInVariant } from "../../../../../shared/plan/edits/variant-cues.ts";
import { type LocalEclipse, NO_ECLIPSE } from "../../../../../shared/plan/local-eclipse.ts";
import type { Cue } from "../../../../../shared/plan/model/cue.ts";
import { EMPTY_PLAN } from "../../../../../shared/plan/model/empty-plan.ts";
import type { Plan, Rig } from "../../../../../shared/plan/model/plan.ts";
import { CUE_ACTIONS, CUE_ANCHORS, VARIANTS } from "../../../../../shared/plan/model/vocabulary.ts";
import { checkRig } from "../../../../../shared/plan/safety/check-rig.ts";
import { checkVariant } from "../../../../../shared/plan/safety/check-variant.ts";
import { settlePlan } from "../../../../../shared/plan/settle-plan.ts";
import { troublesOf, variantTroubles } from "../../../../shared/plan/edits/list-oracle.ts";
import { anyRig, anySite, anyTotalSite, rigOf } from "../../../../shared/plan/sites-and-rigs.ts";

/** Which one of a list, as a fraction of it. */
const spot = fc.double({ min: 0, max: 0.999, noNaN: true });
const anySky = fc.constantFrom<Sky>("clear", ...VARIANTS);
const anyPart: fc.Arbitrary<Partial<Cue>> = fc.oneof(
  { weight: 2, arbitrary: fc.integer({ min: -90, max: 90 }).map((offsetS) => ({ offsetS })) },
  fc.record({ anchor: fc.constantFrom(...CUE_ANCHORS), offsetS: fc.integer({ min: -60, max: 60 }) }),
  { weight: 2, arbitrary: fc.constantFrom(false, false, true).map((on) => ({ on })) },
  fc.constantFrom(...CUE_ACTIONS).map((action) => ({ action, key: `cue.${action}` })),
  fc.integer({ min: -60, max: 0 }).map((earliestS) => ({ earliestS })),
  fc.integer({ min: 0, max: 60 }).map((latestS) => ({ latestS })),
  fc
    .record({
      cueId: fc.constantFrom("filter-off", "filter-on", "bead-after", "own-1"),
      byS: fc.integer({ min: -30, max: 30 }),
    })
    .map((along) => ({ along })),
  fc.constant({ repeat: { everyS: 30, until: { anchor: "C3" as const, offsetS: 0 } } }),
);
const anyDeed = fc.oneof(
  {
    weight: 5,
    arbitrary: fc.record({ do: fc.constant("change" as const), spot, eye: fc.boolean(), part: anyPart }),
  },
  { weight: 1, arbitrary: fc.record({ do: fc.constant("add" as const), part: anyPart }) },
  { weight: 1, arbitrary: fc.record({ do: fc.constantFrom("take out", "as base", "take back"), spot }) },
  { weight: 3, arbitrary: fc.record({ do: fc.constant("mend" as const), spot }) },
  { weight: 2, arbitrary: fc.constantFrom({ do: "undo" as const }, { do: "redo" as const }) },
  { weight: 3, arbitrary: anySky.map((sky) => ({ do: "sky" as const, sky })) },
  // Often: what one change makes unsafe must not hide behind another that is refused anyway.
  { weight: 9, arbitrary: fc.constant({ do: "save" as const }) },
  { weight: 1, arbitrary: anySite.map((to) => ({ do: "move" as const, to })) },
);
type Deed = typeof anyDeed extends fc.Arbitrary<infer One> ? One : never;

const OF_EYE: readonly Cue["action"][] = ["filter-off", "filter-on", "eyes-away", "look-up"];
/** Most often rigs and places at which a filter comes off: there is most to break. */
const someRig = fc.oneof(
  anyRig,
  fc.constantFrom(
    rigOf("tracked-telescope"),
    rigOf("tripod-camera", { focalLengthMm: 80 }),
    rigOf("binocular"),
  ),
);
const someSite = fc.oneof({ weight: 2, arbitrary: anyTotalSite }, anySite);

const at = <T>(list: readonly T[], where: number): T | undefined => list[Math.floor(where * list.length)];

/** The page's lists after one deed that saves nothing. */
function worked(
  work: History<CueDraft>,
  sky: Sky,
  rig: Rig,
  gets: LocalEclipse,
  deed: Deed,
): History<CueDraft> {
  const draft = work.now;
  const usual = defaultCues(rig, gets);
  const list = cuesUnder(draft, sky);
  const put = (next: CueDraft | undefined) => (next ? changed(work, next, null) : work);
  switch (deed.do) {
    case "change": {
      // Half of what is changed is about filter and eyes, which most cues are not.
      const ofEye = list.filter(({ action }) => OF_EYE.includes(action));
      const cue = at(deed.eye && ofEye.length > 0 ? ofEye : list, deed.spot);
      return put(cue && withCue(draft, sky, cue.id, deed.part));
    }
    case "add": {
      const added = withNewCue(draft, sky);
      return put(added ? withCue(added.draft, sky, added.cueId, deed.part) : undefined);
    }
    case "take out": {
      const cue = at(list, deed.spot);
      return put(cue && withoutCue(draft, sky, cue.id));
    }
    case "as base": {
      const cue = at(list, deed.spot);
      return put(cue && asInBase(draft, sky, usual, cue.id));
    }
    case "take back": {
      const edit = at(differences(draft, sky, usual), deed.spot);
      return put(edit && withoutDifference(draft, sky, usual, edit));
    }
    case "mend": {
      const shown = { ...rig, cues: [...draft.cues] };
      const found = sky === "clear" ? checkRig(shown, 0, gets) : checkVariant(shown, 0, gets, sky, [...list]);
      const one = at(found, deed.spot);
      const base = baseUnder(draft, sky, usual);
      const [mend] = one ? mendsOf(one.code, one.cueId, { rig: shown, sky, cues: list, base, gets }) : [];
      return put(mend && withCuesUnder(draft, sky, mend.cues));
    }
    case "undo":
      return undone(work);
    case "redo":
      return redone(work);
    default:
      return work;
  }
}

function expectSafe(rig: Rig, here: LocalEclipse): void {
  expect(troublesOf(rig, rig.cues, here)).toEqual([]);
  for (const variant of VARIANTS) {
    const { cues } = rigInVariant(rig, variant);
    expect(troublesOf(rig, cues, here), variant).toEqual([]);
    expect(variantTroubles(rig.cues, cues), variant).toEqual([]);
  }
}

describe("an afternoon at a rig's lists", () => {
  it("never saves a list that breaks a rule of the eye, and shows what the hub then has", () => {
    const seen = { saved: 0, refused: 0, variants: 0 };
    fc.assert(
      fc.property(
        someRig,
        someSite,
        fc.array(anyDeed, { minLength: 2, maxLength: 24 }),
        (first, start, deeds) => {
          fc.pre(first.filter === "front" || first.kind === "projection" || first.kind === "wide-camera");
          const { cues: _none, ...fresh } = first;
          const settled = settlePlan({ ...EMPTY_PLAN, rigs: [fresh] }, EMPTY_PLAN, start, NO_ECLIPSE);
          if ("refusal" in settled) return;
          let plan: Plan = settled.plan;
          let here = start;
          let sky: Sky = "clear";
          const rigNow = () => plan.rigs[0] as Rig;
          let work = begun(draftOf(rigNow()));
          const save = (there: LocalEclipse, rig: Rig): boolean => {
            const result = settlePlan({ ...plan, rigs: [rig] }, plan, there, here);
            if ("refusal" in result) {
              seen.refused++;
              return false;
            }
            [plan, here] = [result.plan, there];
            seen.saved++;
            expectSafe(rigNow(), here);
            return true;
          };
          for (const deed of [...deeds, { do: "save" as const }]) {
            if (deed.do === "sky") sky = deed.sky;
            else if (deed.do === "move") {
              // Another lead moves the site: the page begins anew with what came of it.
              if (save(deed.to, rigNow())) work = begun(draftOf(rigNow()));
            } else if (deed.do === "save") {
              const { edits: _edits, ...rig } = rigNow();
              const { cues, variants } = work.now;
              if (!save(here, { ...rig, cues: [...cues], variants })) continue;
              const byId = (list: readonly Cue[]) => [...list].sort((a, b) => (a.id < b.id ? -1 : 1));
              for (const one of VARIANTS) {
                const there = rigInVariant(rigNow(), one).cues;
                expect(byId(there)).toEqual(byId(cuesUnder(work.now, one)));
                if (there !== rigNow().cues) seen.variants++;
              }
              expect(byId(rigNow().cues)).toEqual(byId(cues));
            } else work = worked(work, sky, rigNow(), here, deed);
          }
        },
      ),
      { numRuns: 200 },
    );
    expect(seen.saved).toBeGreaterThan(60);
    expect(seen.refused).toBeGreaterThan(5);
    expect(seen.variants).toBeGreaterThan(10);
  }, 120_000);
});
