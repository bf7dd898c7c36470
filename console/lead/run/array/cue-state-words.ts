/**
 * What stands under a cue: its state, and for a filter cue that waits for its confirm how long it
 * has been due, though its window is still open: "now" would hide that nobody has confirmed it.
 */
import { isFilterAction } from "../../../../shared/plan/model/vocabulary.ts";
import type { CueStanding } from "../../../../shared/run/cues/cue-states.ts";
import type { PutCue } from "../../../../shared/run/cues/instruction.ts";
import { t } from "../../../words/words.ts";
import { shortLength } from "../../shell/short-length.ts";

type CueToSay = CueStanding & Partial<Pick<PutCue, "exposed">>;

/** A confirm is given that long before it counts as missing, ms. */
const CONFIRM_MS = 5000;

/** `c3`: from then on an open filter is counted, here as in every other sentence on it. */
export function cueStateWords(view: CueToSay, runNow: number, c3: number | null): string {
  if (view.exposed && c3 !== null && runNow >= c3)
    return t("lead.cue.pastC3", { time: shortLength(runNow - c3) });
  if (view.state === "late") return t("lead.cue.late", { time: shortLength(view.lateS * 1000) });
  const overdueMs = runNow - view.dueMs;
  if (waitsForConfirm(view) && overdueMs >= CONFIRM_MS)
    return t("lead.cue.unconfirmed", { time: shortLength(overdueMs) });
  return t(`lead.cueState.${view.state}`);
}

function waitsForConfirm({ cue, state }: CueStanding): boolean {
  return state === "now" && cue.confirm && isFilterAction(cue.action);
}
