/** How a review says a cue and how far off it was, read beside the plan as it is now. */
import type { Rig } from "../../shared/plan/model/plan.ts";
import type { ReviewedCue } from "../../shared/review/review.ts";
import { knowsCue } from "../../shared/run/cues/cue-timeline.ts";
import { cueWords } from "./words-for-cue.ts";

/** By what it did where the plan no longer has the cue or its rig. */
export function reviewedWords(
  rig: Rig | undefined,
  { cueId, action }: Pick<ReviewedCue, "cueId" | "action">,
): string {
  return cueWords((rig && knowsCue(rig, cueId)) ?? { key: null, say: null, action });
}

/** Signed seconds to a tenth: "+1.5 s", "−0.7 s". */
export function offText(ms: number): string {
  return `${ms < 0 ? "−" : "+"}${Math.abs(ms / 1000).toFixed(1)} s`;
}
