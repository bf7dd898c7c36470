/** A rig's cues as a run had them, looked at afterwards: in the variant in force, at the contacts' times. */
import { rigInVariant } from "../../plan/edits/variant-cues.ts";
import type { Rig } from "../../plan/model/plan.ts";
import type { EffectiveContacts } from "../effective-contacts.ts";
import type { RunRecord } from "../state.ts";
import { variantOf } from "../variant-of.ts";
import { type CueInstance, cueTimeline } from "./cue-timeline.ts";

export function cuesInRun(
  rig: Rig,
  run: Pick<RunRecord, "variant">,
  contacts: EffectiveContacts,
): readonly CueInstance[] {
  return cueTimeline(rigInVariant(rig, variantOf(run, rig.id)), contacts);
}
