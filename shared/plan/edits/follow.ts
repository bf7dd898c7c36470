/**
 * Cues that go along with another cue of the same rig (`along`): they stand so long after it, whatever
 * that one hangs on, and move with it. What is worked out here is written into their own anchor and
 * offset, so that rules and runs know nothing of it. Pure.
 *
 * Where the other cue is not in the list, where cues go along in a circle, or where the time would lie
 * farther from its contact than a cue may, a cue stays where it stands.
 */
import type { Cue } from "../model/cue.ts";
import type { Edit } from "../model/edit.ts";
import { CUE_OFFSET_MOST_S } from "../model/vocabulary.ts";
import { same } from "./same.ts";

/** The same list where nothing moves. */
export function followed(cues: readonly Cue[]): Cue[] {
  const known = new Map(cues.map((cue) => [cue.id, cue]));
  return cues.map((cue) => placed(cue, known));
}

/** Those that a cue goes along with, the nearest first; null where they lead back to one of them. */
export function leadersOf(cue: Cue, known: ReadonlyMap<string, Cue>): Cue[] | null {
  const way = [cue];
  for (let at = leaderOf(cue, known); at; at = leaderOf(at, known)) {
    if (way.includes(at)) return null;
    way.push(at);
  }
  return way.slice(1);
}

function leaderOf({ along }: Cue, known: ReadonlyMap<string, Cue>): Cue | undefined {
  return along && known.get(along.cueId);
}

function placed(cue: Cue, known: ReadonlyMap<string, Cue>): Cue {
  const leaders = leadersOf(cue, known);
  const first = leaders?.at(-1);
  if (!leaders || !first) return cue;
  const way = [cue, ...leaders.slice(0, -1)];
  const farS = way.reduce((sum, { along }) => sum + (along?.byS ?? 0), first.offsetS);
  // Thousandths of seconds, and no dust of sums.
  const offsetS = Math.round(farS * 1000) / 1000;
  if (Math.abs(offsetS) > CUE_OFFSET_MOST_S) return cue;
  return cue.anchor === first.anchor && cue.offsetS === offsetS
    ? cue
    : { ...cue, anchor: first.anchor, offsetS };
}

/**
 * The edits of a sky without those that only say where a cue that goes along stands there: they are
 * worked out anew from what the clear list has. `clear`: as it was when they were made.
 */
export function chosenEdits(edits: readonly Edit[], clear: readonly Cue[]): Edit[] {
  return edits.filter((edit) => {
    if (edit.do !== "hang" || edit.along === undefined || edit.came !== undefined) return true;
    return !same(edit.along, clear.find(({ id }) => id === edit.cueId)?.along);
  });
}
