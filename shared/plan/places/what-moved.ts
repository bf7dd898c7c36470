/**
 * What a move of the site did to each rig: cues that came, went or are otherwise than before, and
 * whether its filter comes off in totality. Pure; notes of the save say the rest.
 */
import { same } from "../edits/same.ts";
import type { Rig } from "../model/plan.ts";
import type { PlanNote } from "../plan-note.ts";

export interface RigMoved {
  rigId: string;
  /** Ids of cues. */
  added: string[];
  gone: string[];
  changed: string[];
  /** Whether a cue takes its filter off, before and now. */
  opened: boolean;
  opens: boolean;
  notes: PlanNote[];
}

type MovedRig = Pick<Rig, "id" | "cues">;

/** One entry for each rig of after, in its order; nothing of it may have changed. */
export function whatMoved(
  before: readonly MovedRig[],
  after: readonly MovedRig[],
  notes: readonly PlanNote[],
): RigMoved[] {
  const was = new Map(before.map((rig) => [rig.id, rig]));
  return after.map(({ id, cues }) => {
    const old = new Map((was.get(id)?.cues ?? []).map((cue) => [cue.id, cue]));
    const kept = cues.filter((cue) => old.has(cue.id));
    return {
      rigId: id,
      added: cues.filter((cue) => !old.has(cue.id)).map((cue) => cue.id),
      gone: [...old.keys()].filter((cueId) => !cues.some((cue) => cue.id === cueId)),
      changed: kept.filter((cue) => !same(cue, old.get(cue.id))).map((cue) => cue.id),
      opened: opens([...old.values()]),
      opens: opens(cues),
      notes: notes.filter(({ rigId }) => rigId === id),
    };
  });
}

function opens(cues: MovedRig["cues"]): boolean {
  return cues.some(({ action, on }) => on && action === "filter-off");
}
