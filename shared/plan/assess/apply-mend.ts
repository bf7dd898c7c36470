/**
 * An offered mend put into the plan, and taken out of it again: only the field that the mend is about
 * is touched, so that what another lead changed meanwhile stays. A rig or cue that is gone is passed over.
 */

import type { Cue } from "../model/cue.ts";
import type { Rig } from "../model/plan.ts";

export interface AssessedMend {
  changes: (
    | { kind: "earlier"; rigId: string; cueId: string; byS: number }
    | { kind: "drop"; rigId: string; cueId: string }
    | { kind: "hand-over"; rigId: string; to: string }
  )[];
  slackS: number | null;
}

interface WithRigs {
  rigs: Rig[];
}
type Change = AssessedMend["changes"][number];

/** Windows reach back an hour at most (model/cue.ts). */
const EARLIEST_S = -3600;

/** `name`: whose hands, where the mend asks for one more person. */
export function withMend<P extends WithRigs>(plan: P, changes: readonly Change[], name: string): P {
  return changes.reduce((done, change) => changedBy(done, change, name), plan);
}

function changedBy<P extends WithRigs>(plan: P, change: Change, name: string): P {
  if (change.kind === "hand-over")
    return onRig(plan, change.rigId, (rig) => ({ ...rig, operator: change.to || name }));
  return onCue(plan, change, (cue) =>
    change.kind === "drop"
      ? { ...cue, on: false }
      : { ...cue, earliestS: Math.max(EARLIEST_S, cue.earliestS - change.byS) },
  );
}

/** The plan as it is now, with what the mend changed as it was in `before`. */
export function withoutMend<P extends WithRigs>(plan: P, changes: readonly Change[], before: WithRigs): P {
  return changes.reduce((done, change) => {
    const was = before.rigs.find(({ id }) => id === change.rigId);
    if (!was) return done;
    if (change.kind === "hand-over")
      return onRig(done, change.rigId, (rig) => ({ ...rig, operator: was.operator }));
    const cueWas = was.cues.find(({ id }) => id === change.cueId);
    if (!cueWas) return done;
    return onCue(done, change, (cue) =>
      change.kind === "drop" ? { ...cue, on: cueWas.on } : { ...cue, earliestS: cueWas.earliestS },
    );
  }, plan);
}

function onRig<P extends WithRigs>(plan: P, rigId: string, edit: (rig: Rig) => Rig): P {
  return { ...plan, rigs: plan.rigs.map((rig) => (rig.id === rigId ? edit(rig) : rig)) };
}

function onCue<P extends WithRigs>(
  plan: P,
  { rigId, cueId }: { rigId: string; cueId: string },
  edit: (cue: Cue) => Cue,
): P {
  return onRig(plan, rigId, (rig) => ({
    ...rig,
    cues: rig.cues.map((cue) => (cue.id === cueId ? edit(cue) : cue)),
  }));
}
