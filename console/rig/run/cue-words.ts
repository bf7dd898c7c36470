/** What the big button says of a cue: that it has been done. */
import type { PutCue } from "../../../shared/run/cues/instruction.ts";
import { t } from "../../words/words.ts";

export function confirmWords({ cue, mode }: Pick<PutCue, "cue" | "mode">): string {
  if (mode === "touch") return t("rig.confirm.touched");
  switch (cue.action) {
    case "filter-off":
      return t("rig.confirm.filterOff");
    case "filter-on":
      return t("rig.confirm.filterOn");
    case "cap":
      return t("rig.confirm.capped");
    default:
      return t("rig.confirm.done");
  }
}
