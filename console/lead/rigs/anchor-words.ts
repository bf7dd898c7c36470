/** What a cue hangs on, as people say it: contacts by their letters, the place's own moments in words. */
import type { CueAnchor } from "../../../shared/plan/vocabulary.ts";
import { t } from "../../words/words.ts";

export function anchorWords(anchor: CueAnchor): string {
  switch (anchor) {
    case "max":
      return t("lead.contact.max");
    case "sunLost":
    case "sunBack":
    case "beadsC2":
    case "beadsC3":
      return t(`lead.anchor.${anchor}`);
    default:
      return anchor;
  }
}
