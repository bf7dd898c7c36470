/** The pips that a rig's phone gives with its cues (console/rig/sound), to be found in the sound of a video. */
import type { Pip } from "../../../../shared/images/camera-clock/pips.ts";
import type { Rig } from "../../../../shared/plan/model/plan.ts";
import { cuesInRun } from "../../../../shared/run/cues/cues-in-run.ts";
import { contactsOf } from "../../../../shared/run/effective-contacts.ts";
import type { SiteState } from "../../../../shared/run/state.ts";

const PIP_MS = 100;
const LONG_PIP_MS = 500;

/** The count-ins that the rig's phone gave in the real run. */
export function pipsOf(rig: Rig, state: SiteState): Pip[] {
  const run = state.runs[state.realRunId];
  if (!run) return [];
  return cuesInRun(rig, run, contactsOf(state, run)).flatMap(({ cue, dueMs }) =>
    cue.countInS === 0
      ? []
      : [
          ...Array.from({ length: cue.countInS }, (_, i) => ({
            atUtcMs: dueMs - (cue.countInS - i) * 1000,
            lengthMs: PIP_MS,
          })),
          { atUtcMs: dueMs as number, lengthMs: LONG_PIP_MS },
        ],
  );
}
