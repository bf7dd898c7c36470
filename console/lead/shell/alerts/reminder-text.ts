/**
 * What a lead's reminder says. A message is read when its reader has time: a phone keeps it back near
 * cues and shows it for a quarter of an hour. So it never says what is right at one moment alone: only
 * a cue that makes safe is said in words, whatever takes a filter off or sends eyes to the sky is not
 * (S1, S6, S13). The rig's own page says that, as it stands when it is looked at.
 */
import { makesSafeCue } from "../../../../shared/run/cues/cue-kinds.ts";
import type { RigStatus } from "../../../../shared/run/views/rig-status.ts";
import { putWords } from "../../../parts/words-for-cue.ts";
import { t } from "../../../words/words.ts";

export function reminderText({ cueNow }: Pick<RigStatus, "cueNow">): string {
  return cueNow && makesSafeCue(cueNow.cue) ? putWords(cueNow) : t("glance.lookAtRig");
}
