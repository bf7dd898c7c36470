/** One thing that differs between two lists, in a sentence: "Focus. 30 s earlier". */
import "../../../words/bundles/cues.ts";
import type { Cue } from "../../../../shared/plan/model/cue.ts";
import type { Edit } from "../../../../shared/plan/model/edit.ts";
import { cameraText } from "../../../parts/camera-text.ts";
import { offsetWords } from "../../../parts/words-for-anchor.ts";
import { cueWords } from "../../../parts/words-for-cue.ts";
import { lengthWords } from "../../../parts/words-for-length.ts";
import { t } from "../../../words/words.ts";
import { repeatWords, windowWords } from "./cue-sentence.ts";

/** `base` and `list`: before and with the edit; the cue is called as the base calls it, if it knows it. */
export function editSentence(edit: Edit, base: readonly Cue[], list: readonly Cue[]): string {
  const of = (cues: readonly Cue[]) => cues.find(({ id }) => id === edit.cueId);
  const cue = of(base) ?? of(list);
  const words = cue ? cueWords(cue) : edit.cueId;
  return t("cues.edit", { words, what: whatOf(edit) });
}

/** What is different, without the words of the cue that it is at. */
export function whatOf(edit: Edit): string {
  switch (edit.do) {
    case "move":
      return t(edit.byS < 0 ? "cues.edit.earlier" : "cues.edit.later", {
        length: lengthWords(Math.abs(edit.byS)),
      });
    case "hang":
      return t("cues.edit.hang", { when: offsetWords(edit.anchor, edit.offsetS) });
    case "switch":
      return t(edit.on ? "cues.edit.on" : "cues.edit.off");
    case "say":
      return edit.say === null ? t("cues.edit.usualWords") : t("cues.edit.say", { text: edit.say });
    case "act":
      return t("cues.edit.act", { words: cueWords({ key: edit.key, action: edit.action, say: null }) });
    case "confirm":
      return t(edit.confirm ? "cues.edit.confirm" : "cues.edit.noConfirm");
    case "window":
      return t("cues.edit.window", { window: windowWords(edit) || t("cues.window.none") });
    case "count in":
      return t("cues.edit.countIn", { length: lengthWords(edit.countInS) });
    case "hands":
      return t("cues.edit.hands", { length: lengthWords(edit.handsS) });
    case "repeat":
      return edit.repeat ? repeatWords(edit.repeat) : t("cues.edit.once");
    case "camera":
      return edit.camera ? cameraText(edit.camera) || t("cues.edit.noCamera") : t("cues.edit.noCamera");
    case "add":
      return t("cues.edit.added", { when: offsetWords(edit.cue.anchor, edit.cue.offsetS) });
    case "take out":
      return t("cues.edit.out");
    default:
      return t("cues.edit.usual");
  }
}
