/**
 * What a cue hangs on, as people say it: contacts by their letters, the place's own moments in
 * words; and an offset from it: "20 s before C2", "5 s after C3", "at maximum".
 */
import type { CueAnchor } from "../../shared/plan/model/vocabulary.ts";
import { isWordKey, t } from "../words/words.ts";
import { lengthWords } from "./words-for-length.ts";

export function anchorWords(anchor: CueAnchor): string {
  const key = `anchor.${anchor}`;
  return isWordKey(key) ? t(key) : anchor;
}

/** `offsetS`: seconds after the anchor, negative before it; said in whole seconds. */
export function offsetWords(anchor: CueAnchor, offsetS: number): string {
  const values = { anchor: anchorWords(anchor), length: lengthWords(Math.abs(offsetS)) };
  if (Math.round(Math.abs(offsetS)) === 0) return t("offset.at", values);
  return t(offsetS < 0 ? "offset.before" : "offset.after", values);
}
