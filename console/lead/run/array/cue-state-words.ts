/**
 * What stands under a cue: its state, and for a filter cue that waits for its confirm how long it
 * has been due, though its window is still open: "now" would hide that nobody has confirmed it.
 */
import { isFilterAction } from "../../../../shared/plan/model/vocabulary.ts";
import type { CueStanding } from "../../../../shared/run/cues/cue-states.ts";
import { t } from "../../../words/words.ts";
import { shortLength } from "../../shell/short-length.ts";

/** A confirm is given that long before it counts as missing, ms. */
const CONFIRM_MS = 5000;

export function cueStateWords(view: CueStanding, runNow: number): string {
  if (view.state === "late") return t("lead.cue.late", { time: shortLength(view.lateS * 1000) });
  const overdueMs = runNow - view.dueMs;
  if (waitsForConfirm(view) && overdueMs >= CONFIRM_MS)
    return t("lead.cue.unconfirmed", { time: shortLength(overdueMs) });
  return t(`lead.cueState.${view.state}`);
}

function waitsForConfirm({ cue, state }: CueStanding): boolean {
  return state === "now" && cue.confirm && isFilterAction(cue.action);
}
