/**
 * Which edits lead from one list of cues to another: for programs and pages that hand in whole
 * lists. What the lead had edited before and leaves as it is keeps its place among the edits; what
 * is back as it was usually is an edit, too, so that it can be undone. Pure.
 */
import type { Cue } from "../model/cue.ts";
import type { Edit } from "../model/edit.ts";
import { applyEdit } from "./apply-edits.ts";
import { asMeant, slotOf, standingEdits, tidied } from "./edit-list.ts";
import { same } from "./same.ts";

/** The edits that make `wanted` of `base`, in the order of the lists. */
export function editsBetween(base: readonly Cue[], wanted: readonly Cue[]): Edit[] {
  const takenOut = base
    .filter(({ id }) => !wanted.some((cue) => cue.id === id))
    .map(({ id }): Edit => ({ do: "take out", cueId: id }));
  return [
    ...takenOut,
    ...wanted.flatMap((cue): Edit[] => {
      const was = base.find(({ id }) => id === cue.id);
      return was === undefined ? [{ do: "add", cueId: cue.id, cue }] : fieldEdits(was, cue);
    }),
  ];
}

/**
 * The list of edits that leads to `wanted`, grown from those of before. Edits of before that do
 * not fit here stay, unless the lead changed the very thing that they are on.
 */
export function editsGrown(before: readonly Edit[], base: readonly Cue[], wanted: readonly Cue[]): Edit[] {
  const fresh = editsBetween(base, wanted);
  const standing = new Map(standingEdits(before).map((edit) => [slotOf(edit), edit]));
  const freshSlots = new Set(fresh.map(slotOf));
  const undone = [...standing.values()].flatMap((edit) => {
    if (edit.came !== undefined || freshSlots.has(slotOf(edit))) return [];
    return backToUsual(edit, base, wanted);
  });
  const news = fresh.filter((edit) => {
    const had = standing.get(slotOf(edit));
    return had === undefined || !same(asMeant(had), edit);
  });
  return tidied([...before, ...undone, ...news], (edit) => doesNothing(edit, base));
}

/** Whether an edit leaves the usual list as it is. */
export function doesNothing(edit: Edit, base: readonly Cue[]): boolean {
  const usual = base.find(({ id }) => id === edit.cueId);
  if (edit.do === "take out") return usual === undefined;
  if (usual === undefined) return false;
  const after = applyEdit(base, base, edit);
  return after !== null && same(after, base);
}

function fieldEdits(was: Cue, cue: Cue): Edit[] {
  const cueId = cue.id;
  const differs = (...fields: (keyof Cue)[]) => fields.some((field) => !same(was[field], cue[field]));
  const { anchor, offsetS, along, action, key, on, say, confirm, earliestS, latestS, countInS, repeat } = cue;
  // What goes along says with what, and where that puts it: a list that is put together needs no more.
  const hung = differs("anchor", "along") || (along !== undefined && differs("offsetS"));
  const edits: (Edit | false)[] = [
    differs("on") && { do: "switch", cueId, on },
    hung && { do: "hang", cueId, anchor, offsetS, ...(along && { along }) },
    !hung && differs("offsetS") && { do: "move", cueId, byS: offsetS - was.offsetS },
    differs("action", "key") && { do: "act", cueId, action, key },
    differs("say") && { do: "say", cueId, say },
    differs("confirm") && { do: "confirm", cueId, confirm },
    differs("earliestS", "latestS") && { do: "window", cueId, earliestS, latestS },
    differs("countInS") && { do: "count in", cueId, countInS },
    differs("handsS", "people", "tool") && { do: "hands", cueId, ...handsOf(cue) },
    differs("repeat") && { do: "repeat", cueId, repeat },
    differs("camera") && { do: "camera", cueId, ...(cue.camera && { camera: cue.camera }) },
  ];
  return edits.filter((edit) => edit !== false);
}

/** One person without a tool is said by saying nothing of it. */
function handsOf({ handsS, people, tool }: Cue): Pick<Cue, "handsS" | "people" | "tool"> {
  return { handsS, ...(people === 2 && { people }), ...(tool !== undefined && { tool }) };
}

/** What takes an edit back where it is on something that a list now has as usual. */
function backToUsual(edit: Edit, base: readonly Cue[], wanted: readonly Cue[]): Edit[] {
  const { cueId } = edit;
  if (doesNothing(edit, base)) return [];
  if (edit.do === "add") return [{ do: "take out", cueId }];
  if (edit.do === "take out") return [{ do: "bring back", cueId }];
  const cue = wanted.find(({ id }) => id === cueId);
  const usual = base.find(({ id }) => id === cueId);
  // A cue of the lead's own is whole in its "add"; what was said on top of that is in it by now.
  if (cue === undefined || usual === undefined) return [];
  switch (edit.do) {
    case "move":
    case "hang":
      return [{ do: "move", cueId, byS: 0 }];
    case "switch":
      return [{ do: "switch", cueId, on: usual.on }];
    case "say":
      return [{ do: "say", cueId, say: usual.say }];
    case "act":
      return [{ do: "act", cueId, action: usual.action, key: usual.key }];
    case "confirm":
      return [{ do: "confirm", cueId, confirm: usual.confirm }];
    case "window":
      return [{ do: "window", cueId, earliestS: usual.earliestS, latestS: usual.latestS }];
    case "count in":
      return [{ do: "count in", cueId, countInS: usual.countInS }];
    case "hands":
      return [{ do: "hands", cueId, ...handsOf(usual) }];
    case "repeat":
      return [{ do: "repeat", cueId, repeat: usual.repeat }];
    case "camera":
      return [{ do: "camera", cueId, ...(usual.camera && { camera: usual.camera }) }];
    default:
      return [];
  }
}
