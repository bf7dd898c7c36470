/**
 * A list of edits in the order in which they were made. Of those on one thing of one cue the last
 * stands; "usual" takes all before it away. So nothing is lost by a later edit, and to undo is to
 * take away the last. Edits that stand no more are kept for that, but not without end.
 */
import type { Edit } from "../model/edit.ts";

/** Edits that another has taken the place of: so many can be undone at least. */
const PAST_MOST = 12;

/** What an edit is on: later ones on the same take its place. */
export function slotOf({ do: what, cueId }: Edit): string {
  switch (what) {
    case "move":
    case "hang":
      return `when ${cueId}`;
    case "add":
    case "take out":
    case "bring back":
      return `whole ${cueId}`;
    default:
      return `${what} ${cueId}`;
  }
}

/** The edits that count, in order. */
export function standingEdits(edits: readonly Edit[]): Edit[] {
  const since = edits.slice(edits.findLastIndex((edit) => edit.do === "usual") + 1);
  const last = new Map(since.map((edit) => [slotOf(edit), edit]));
  return since.filter((edit) => last.get(slotOf(edit)) === edit);
}

/** As a lead means it, without what the hub said came of it. */
export function asMeant(edit: Edit): Edit {
  const { came: _came, rule: _rule, ...meant } = edit;
  return meant as Edit;
}

/** The list without its last edit; the same when there is none. */
export function takenBack(edits: readonly Edit[]): Edit[] {
  return edits.slice(0, -1).map(asMeant);
}

/**
 * The list without what nobody needs any more: all before a "usual" on which something was built,
 * the oldest of those that another has taken the place of, and edits that do nothing.
 */
export function tidied(edits: readonly Edit[], doesNothing: (edit: Edit) => boolean): Edit[] {
  const usual = edits.findLastIndex((edit) => edit.do === "usual");
  const kept = usual === edits.length - 1 ? [...edits] : edits.slice(usual + 1);
  const standing = new Set(standingEdits(kept));
  const isPast = (edit: Edit) => !standing.has(edit) && edit.do !== "usual";
  let excess = usual === edits.length - 1 ? 0 : kept.filter(isPast).length - PAST_MOST;
  const few = kept.filter((edit) => !isPast(edit) || excess-- <= 0);
  const isFirst = (edit: Edit, at: number) =>
    !few.slice(0, at).some((other) => slotOf(other) === slotOf(edit));
  return few.filter((edit, at) => {
    if (edit.do === "usual") return at > 0;
    return edit.came !== undefined || !isFirst(edit, at) || !standing.has(edit) || !doesNothing(edit);
  });
}
