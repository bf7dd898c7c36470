/**
 * Applies edits to a list of cues. Every edit is tried and stays when the rules allow what comes of
 * it; what cannot stay is marked in the answer, never lost: "unfit" where the list has no such cue,
 * "refused" with the rule that forbids it. Pure.
 */
import type { Cue } from "../model/cue.ts";
import type { Edit } from "../model/edit.ts";
import { CUE_OFFSET_MOST_S, CUES_MOST } from "../model/vocabulary.ts";
import { standingEdits } from "./edit-list.ts";
import { followed } from "./follow.ts";

export interface Applied {
  /** Unsorted: as in the base, what was added last. */
  cues: Cue[];
  /** All edits as they were given, each with what became of it. */
  edits: Edit[];
}

/** The first rule that forbids a list; null when it may stand. */
export type Judge = (cues: Cue[]) => string | null;

/** @param judge the base itself is taken to be allowed. */
export function applyEdits(base: readonly Cue[], edits: readonly Edit[], judge: Judge): Applied {
  const standing = standingEdits(edits);
  const whole = applyAll(base, base, standing);
  const wholeCues = followed(whole.cues);
  if (judge(wholeCues) === null) return { cues: wholeCues, edits: marked(edits, whole.left, new Map()) };

  const unfit = new Set(whole.left);
  const refusedBy = new Map<Edit, string>();
  let cues: Cue[] = [...base];
  let pending = standing.filter((edit) => !unfit.has(edit));
  // An edit may only be possible once another is in (filter-on goes after filter-off went).
  for (let progress = true; progress && pending.length > 0; ) {
    const left: Edit[] = [];
    for (const edit of pending) {
      const apart = applyEdit(cues, base, edit);
      const tried = apart && followed(apart);
      const rule = tried === null ? "plan" : judge(tried);
      if (tried !== null && rule === null) cues = tried;
      else {
        refusedBy.set(edit, rule ?? "plan");
        left.push(edit);
      }
    }
    progress = left.length < pending.length;
    pending = left;
  }
  for (const edit of [...refusedBy.keys()]) if (!pending.includes(edit)) refusedBy.delete(edit);
  return { cues, edits: marked(edits, [...unfit], refusedBy) };
}

/** The list with those edits of a settled list that were kept. */
export function withKeptEdits(base: readonly Cue[], edits: readonly Edit[]): Cue[] {
  const kept = standingEdits(edits).filter((edit) => edit.came === undefined);
  return applyAll(base, base, kept).cues;
}

function marked(
  edits: readonly Edit[],
  unfit: readonly Edit[],
  refusedBy: ReadonlyMap<Edit, string>,
): Edit[] {
  return edits.map((edit) => {
    const rule = refusedBy.get(edit);
    if (rule !== undefined) return { ...edit, came: "refused", rule };
    return unfit.includes(edit) ? { ...edit, came: "unfit" } : edit;
  });
}

/** All that find their cue, whatever the order; and those that do not. */
function applyAll(base: readonly Cue[], from: readonly Cue[], edits: readonly Edit[]) {
  let cues: Cue[] = [...from];
  let left: readonly Edit[] = edits;
  for (let before = -1; left.length > 0 && left.length !== before; ) {
    before = left.length;
    left = left.filter((edit) => {
      const next = applyEdit(cues, base, edit);
      if (next === null) return true;
      cues = next;
      return false;
    });
  }
  return { cues, left };
}

/** Null where it finds no cue to be on, or would lead beyond what a plan may hold. */
export function applyEdit(cues: readonly Cue[], base: readonly Cue[], edit: Edit): Cue[] | null {
  const { cueId } = edit;
  const at = cues.findIndex(({ id }) => id === cueId);
  const usual = base.find(({ id }) => id === cueId);
  if (edit.do === "usual") return null;
  if (edit.do === "add") {
    if (at !== -1 || cues.length >= CUES_MOST) return null;
    return [...cues, { ...edit.cue, id: cueId }];
  }
  if (edit.do === "bring back") {
    if (usual === undefined) return null;
    return at === -1 ? [...cues, usual] : [...cues];
  }
  const cue = cues[at];
  if (cue === undefined) return null;
  if (edit.do === "take out") return cues.filter(({ id }) => id !== cueId);
  const changed = changedCue(cue, usual ?? cue, edit);
  return changed && cues.map((one) => (one === cue ? changed : one));
}

type FieldEdit = Exclude<Edit, { do: "add" | "take out" | "bring back" | "usual" }>;

function changedCue(cue: Cue, usual: Cue, edit: FieldEdit): Cue | null {
  // Moved by itself, or hung on something else, it no longer goes along with what it did.
  const { along: _along, ...apart } = cue;
  if (edit.do === "move") {
    const offsetS = usual.offsetS + edit.byS;
    if (Math.abs(offsetS) > CUE_OFFSET_MOST_S) return null;
    return { ...apart, anchor: usual.anchor, offsetS };
  }
  const { do: what, cueId: _cueId, came: _came, rule: _rule, ...fields } = edit;
  if (what === "camera" && !("camera" in fields && fields.camera !== undefined)) {
    const { camera: _camera, ...without } = cue;
    return without;
  }
  if (what === "hands") {
    const { people: _people, tool: _tool, ...without } = cue;
    return { ...without, ...fields };
  }
  return { ...(what === "hang" ? apart : cue), ...fields };
}
