/** S8 in one voice: what a practice asks of the filters of those who read a page. */
import type { Rig } from "../../shared/plan/model/plan.ts";
import type { WordKey } from "../words/words.ts";

interface Touched {
  rig: Pick<Rig, "filter">;
  /** The filter is touched only and stays on. */
  touchOnly: boolean;
}

export function practiceSentence(rigs: readonly Touched[]): WordKey {
  const filtered = rigs.filter(({ rig }) => rig.filter !== "none by design");
  const touched = filtered.filter(({ touchOnly }) => touchOnly).length;
  if (touched === filtered.length) return "practice.sentence";
  return touched ? "practice.sentenceSome" : "practice.sentenceSafe";
}
