/**
 * Carries a lead's edits over to a new default list, when the place or the rig changes what the
 * defaults are. The new list is the base; every edit is tried on it and stays when the rules
 * allow. What cannot stay is named, never lost silently.
 *
 * An edit is anything in which the old cues differ from the old default list: a changed field of
 * a default cue, a default cue taken out, a cue of the lead's own.
 */
import type { Cue, Rig } from "../model/plan.ts";

export interface DroppedEdit {
  code: "edit-dropped" | "cue-dropped" | "cue-renamed";
  cueId: string;
  /** The field whose edit was dropped. */
  field?: string;
  data: Record<string, string | number>;
}

/** Fields that only make sense together. */
const FIELD_GROUPS: ReadonlyArray<ReadonlyArray<keyof Cue>> = [
  ["on"],
  ["anchor", "offsetS"],
  ["action", "key"],
  ["say"],
  ["confirm"],
  ["earliestS"],
  ["latestS"],
  ["countInS"],
  ["handsS"],
  ["repeat"],
];

const CUES_MOST = 80;

interface Edit {
  cueId: string;
  field?: string;
  apply: (cues: readonly Cue[]) => Cue[];
}

/**
 * @param allowed whether a list may stand; the new default list itself always may.
 * @returns the list, unsorted, and what was dropped or renamed on the way.
 */
export function carryEdits(
  old: readonly Cue[],
  oldDefaults: readonly Cue[],
  newDefaults: readonly Cue[],
  allowed: (cues: Cue[]) => boolean,
): { cues: Rig["cues"]; dropped: DroppedEdit[] } {
  const dropped: DroppedEdit[] = [];
  let pending = [
    ...removals(old, oldDefaults, newDefaults),
    ...fieldEdits(old, oldDefaults, newDefaults, dropped),
    ...ownCues(old, oldDefaults, newDefaults, dropped),
  ];
  let cues: Cue[] = [...newDefaults];
  // An edit may only be possible once another is in (filter-on goes after filter-off went).
  for (let progress = true; progress && pending.length > 0; ) {
    const left: Edit[] = [];
    for (const edit of pending) {
      const tried = edit.apply(cues);
      if (tried.length <= CUES_MOST && allowed(tried)) cues = tried;
      else left.push(edit);
    }
    progress = left.length < pending.length;
    pending = left;
  }
  for (const edit of pending)
    dropped.push({
      code: "edit-dropped",
      cueId: edit.cueId,
      ...(edit.field === undefined ? {} : { field: edit.field }),
      data: {},
    });
  return { cues, dropped };
}

function removals(old: readonly Cue[], oldDefaults: readonly Cue[], newDefaults: readonly Cue[]): Edit[] {
  return oldDefaults
    .filter(({ id }) => !old.some((cue) => cue.id === id) && newDefaults.some((cue) => cue.id === id))
    .map(({ id }) => ({ cueId: id, apply: (cues) => cues.filter((cue) => cue.id !== id) }));
}

function fieldEdits(
  old: readonly Cue[],
  oldDefaults: readonly Cue[],
  newDefaults: readonly Cue[],
  dropped: DroppedEdit[],
): Edit[] {
  return old.flatMap((cue) => {
    const was = oldDefaults.find(({ id }) => id === cue.id);
    if (was === undefined) return [];
    const changed = FIELD_GROUPS.filter((group) => group.some((field) => !same(cue[field], was[field])));
    if (changed.length === 0) return [];
    if (!newDefaults.some(({ id }) => id === cue.id)) {
      dropped.push({ code: "cue-dropped", cueId: cue.id, data: { say: cue.say ?? "" } });
      return [];
    }
    return changed.map((group): Edit => {
      const values = Object.fromEntries(group.map((field) => [field, cue[field]]));
      return {
        cueId: cue.id,
        field: group.at(-1) ?? "say",
        apply: (cues) => cues.map((one) => (one.id === cue.id ? { ...one, ...values } : one)),
      };
    });
  });
}

function ownCues(
  old: readonly Cue[],
  oldDefaults: readonly Cue[],
  newDefaults: readonly Cue[],
  dropped: DroppedEdit[],
): Edit[] {
  const taken = new Set([...old, ...newDefaults].map(({ id }) => id));
  return old
    .filter((cue) => !oldDefaults.some(({ id }) => id === cue.id))
    .map((cue): Edit => {
      let id = cue.id;
      if (newDefaults.some((one) => one.id === id)) {
        for (let n = 1; taken.has(id); n++) id = `${cue.id.slice(0, 34)}-own${n}`;
        taken.add(id);
        dropped.push({ code: "cue-renamed", cueId: id, data: { from: cue.id } });
      }
      return { cueId: id, apply: (cues) => [...cues, { ...cue, id }] };
    });
}

/** Equal as plain data, whatever the order of keys. */
export function same(a: unknown, b: unknown): boolean {
  if (a === b) return true;
  if (typeof a !== "object" || typeof b !== "object" || a === null || b === null) return false;
  const aEntries = Object.entries(a);
  const bMap = new Map(Object.entries(b));
  return (
    Array.isArray(a) === Array.isArray(b) &&
    aEntries.length === bMap.size &&
    aEntries.every(([key, value]) => bMap.has(key) && same(value, bMap.get(key)))
  );
}
