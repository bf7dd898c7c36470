/** S8 in one voice: what a practice asks of the filters of those who read a page. */
import type { Rig } from "../../shared/plan/model/plan.ts";
import type { WordKey } from "../words/words.ts";

interface Touched {
  rig: Pick<Rig, "cues">;
  /** The filter is touched only and stays on. */
  touchOnly: boolean;
}

export function practiceSentence(rigs: readonly Touched[]): WordKey {
  // Where no filter ever comes off (S2, S3), a cap changes nothing.
  const opened = rigs.filter(({ rig }) => rig.cues.some(({ action }) => action === "filter-off"));
  const touched = opened.filter(({ touchOnly }) => touchOnly).length;
  if (touched === opened.length) return "practice.sentence";
  return touched ? "practice.sentenceSome" : "practice.sentenceSafe";
}
