/** The pips that a rig's phone gives with its cues (console/rig/sound), to be found in the sound of a video. */
import {
  type CountIn,
  pipsOfCountIn,
  pipsOfCountIns,
} from "../../../../shared/images/camera-clock/count-ins.ts";
import type { Pip } from "../../../../shared/images/camera-clock/pips.ts";
import type { Rig } from "../../../../shared/plan/model/plan.ts";
import { cuesInRun } from "../../../../shared/run/cues/cues-in-run.ts";
import { contactsOf } from "../../../../shared/run/effective-contacts.ts";
import type { SiteState } from "../../../../shared/run/state.ts";

/** A phone against the hub where it said nothing of it, ms. */
const PHONE_BOUND_MS = 20;

export interface KnownPips {
  pips: Pip[];
  /** As phones said that they gave them; else as the cues would have had them. */
  told: boolean;
  /** The phone's clock against the hub's, ms. */
  boundMs: number;
}

/** What is to be looked for in a video: what was sounded, or in a log that says nothing of it what was due. */
export function pipsOf(rig: Rig, state: SiteState, countIns: readonly CountIn[]): KnownPips {
  if (countIns.length === 0) return { pips: duePips(rig, state), told: false, boundMs: PHONE_BOUND_MS };
  const boundMs = Math.max(...countIns.map((one) => one.boundMs ?? PHONE_BOUND_MS));
  return { pips: pipsOfCountIns(countIns), told: true, boundMs };
}

/** The count-ins that the rig's phone was to give in the real run. */
function duePips(rig: Rig, state: SiteState): Pip[] {
  const run = state.runs[state.realRunId];
  if (!run) return [];
  return cuesInRun(rig, run, contactsOf(state, run)).flatMap(({ cue, dueMs }) =>
    cue.countInS === 0 ? [] : pipsOfCountIn({ atUtcMs: dueMs, pips: cue.countInS }),
  );
}
