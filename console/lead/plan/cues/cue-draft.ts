/**
 * A rig's cues as a lead works at them: the list for a clear sky, and for every other sky what
 * differs from it. What is shown and changed is always a list; edits are found by comparing, as
 * the hub does. Pure.
 */
import { withKeptEdits } from "../../../../shared/plan/edits/apply-edits.ts";
import { slotOf } from "../../../../shared/plan/edits/edit-list.ts";
import { editsBetween } from "../../../../shared/plan/edits/edits-between.ts";
import { chosenEdits, followed } from "../../../../shared/plan/edits/follow.ts";
import { same } from "../../../../shared/plan/edits/same.ts";
import type { Cue } from "../../../../shared/plan/model/cue.ts";
import type { Edit } from "../../../../shared/plan/model/edit.ts";
import type { Rig } from "../../../../shared/plan/model/plan.ts";
import { CUES_MOST, VARIANTS, type Variant } from "../../../../shared/plan/model/vocabulary.ts";

export type Sky = "clear" | Variant;

export interface CueDraft {
  cues: readonly Cue[];
  variants: NonNullable<Rig["variants"]>;
}

export function draftOf(rig: Pick<Rig, "cues" | "variants"> | null): CueDraft {
  return { cues: rig?.cues ?? [], variants: rig?.variants ?? {} };
}

/** The list that is followed under a sky. */
export function cuesUnder({ cues, variants }: CueDraft, sky: Sky): readonly Cue[] {
  const edits = sky === "clear" ? undefined : variants[sky];
  return edits ? followed(withKeptEdits(cues, edits)) : cues;
}

/** The draft with another list for one sky. */
export function withCuesUnder(draft: CueDraft, sky: Sky, wanted: readonly Cue[]): CueDraft {
  const cues = followed(wanted);
  if (sky === "clear") {
    const variants: CueDraft["variants"] = {};
    for (const one of VARIANTS) {
      const edits = draft.variants[one];
      if (edits) variants[one] = chosenEdits(edits, draft.cues);
    }
    return { cues, variants };
  }
  const fresh = editsBetween(draft.cues, cues);
  const slots = new Set(fresh.map(slotOf));
  // What does not fit at this place may fit at the next; it is marked, and stays.
  const elsewhere = (draft.variants[sky] ?? []).filter(
    (edit) => edit.came !== undefined && !slots.has(slotOf(edit)),
  );
  const edits = [...elsewhere, ...fresh];
  return { ...draft, variants: { ...draft.variants, [sky]: edits } };
}

export function withCue(draft: CueDraft, sky: Sky, cueId: string, part: Partial<Cue>): CueDraft {
  const list = cuesUnder(draft, sky);
  return withCuesUnder(
    draft,
    sky,
    list.map((cue) => (cue.id === cueId ? withPart(cue, part) : cue)),
  );
}

/** `undefined` takes settings and what it goes along with away: the plan knows no empty ones. */
function withPart(cue: Cue, part: Partial<Cue>): Cue {
  const { camera, along: _along, ...changed } = { ...cue, ...part };
  const along = alongWith(cue, part);
  return { ...changed, ...(camera && { camera }), ...(along && { along }) };
}

/** Hung on a contact it goes along no more; moved, it keeps its new distance. */
function alongWith(cue: Cue, part: Partial<Cue>): Cue["along"] {
  if ("along" in part) return part.along;
  if (part.anchor !== undefined || cue.along === undefined) return undefined;
  const byS = cue.along.byS + (part.offsetS ?? cue.offsetS) - cue.offsetS;
  return { ...cue.along, byS: Math.round(byS * 1000) / 1000 };
}

/** Null where the list holds as many as it may. */
export function withNewCue(draft: CueDraft, sky: Sky): { draft: CueDraft; cueId: string } | null {
  const list = cuesUnder(draft, sky);
  if (list.length >= CUES_MOST) return null;
  const cueId = freeId(draft);
  return { draft: withCuesUnder(draft, sky, [...list, { ...NEW_CUE, id: cueId }]), cueId };
}

export function withoutCue(draft: CueDraft, sky: Sky, cueId: string): CueDraft {
  const list = cuesUnder(draft, sky);
  return withCuesUnder(
    draft,
    sky,
    list.filter(({ id }) => id !== cueId),
  );
}

/** What a list is compared with: the usual one for a clear sky, that of a clear sky for any other. */
export function baseUnder(draft: CueDraft, sky: Sky, usual: readonly Cue[]): readonly Cue[] {
  return sky === "clear" ? usual : draft.cues;
}

/** What differs under a sky, as a short list of edits. */
export function differences(draft: CueDraft, sky: Sky, usual: readonly Cue[]): Edit[] {
  return editsBetween(baseUnder(draft, sky, usual), cuesUnder(draft, sky));
}

/** The draft with one of them taken back; all others stay. */
export function withoutDifference(draft: CueDraft, sky: Sky, usual: readonly Cue[], edit: Edit): CueDraft {
  const base = baseUnder(draft, sky, usual);
  const list = withoutEdits(base, cuesUnder(draft, sky), (one) => same(one, edit));
  return withCuesUnder(draft, sky, list);
}

/** The draft with all that differs at one cue taken back. */
export function asInBase(draft: CueDraft, sky: Sky, usual: readonly Cue[], cueId: string): CueDraft {
  const base = baseUnder(draft, sky, usual);
  return withCuesUnder(draft, sky, cuesAsInBase(base, cuesUnder(draft, sky), [cueId]));
}

/** A list with all that differs at some cues taken back. */
export function cuesAsInBase(base: readonly Cue[], list: readonly Cue[], cueIds: readonly string[]): Cue[] {
  return withoutEdits(base, list, ({ cueId }) => cueIds.includes(cueId));
}

function withoutEdits(base: readonly Cue[], list: readonly Cue[], back: (edit: Edit) => boolean): Cue[] {
  return withKeptEdits(
    base,
    editsBetween(base, list).filter((edit) => !back(edit)),
  );
}

/** A cue of the lead's own to begin with: two minutes before totality, nothing said of it yet. */
const NEW_CUE: Omit<Cue, "id"> = {
  key: "cue.check",
  anchor: "C2",
  offsetS: -120,
  action: "check",
  say: null,
  on: true,
  confirm: false,
  earliestS: -30,
  latestS: 30,
  countInS: 0,
  handsS: 0,
  repeat: null,
};

/** An id that no list of the rig has used, under any sky. */
function freeId({ cues, variants }: CueDraft): string {
  const used = new Set([
    ...cues.map(({ id }) => id),
    ...VARIANTS.flatMap((one) => variants[one] ?? []).map(({ cueId }) => cueId),
  ]);
  let n = 1;
  while (used.has(`own-${n}`)) n++;
  return `own-${n}`;
}
