/** How a review says a cue and how far off it was, read beside the plan as it is now. */
import type { Rig } from "../../shared/plan/model/plan.ts";
import type { ReviewedCue } from "../../shared/review/review.ts";
import { knowsCue } from "../../shared/run/cues/cue-timeline.ts";
import { elapsedText } from "./time-format.ts";
import { cueWords } from "./words-for-cue.ts";

/** By what it did where the plan no longer has the cue or its rig. */
export function reviewedWords(
  rig: Rig | undefined,
  { cueId, action }: Pick<ReviewedCue, "cueId" | "action">,
): string {
  return cueWords((rig && knowsCue(rig, cueId)) ?? { key: null, say: null, action });
}

/** Signed: seconds to a tenth below a minute ("+1.5 s", "−0.7 s"), from there on "+1:35". */
export function offText(ms: number): string {
  const tenths = Math.round(Math.abs(ms) / 100) / 10;
  return `${ms < 0 ? "−" : "+"}${tenths < 60 ? `${tenths.toFixed(1)}\u00a0s` : spanText(tenths)}`;
}

/** A length as every row writes it: "0:19", "4:07", "1:21:06"; to the nearest second. */
export function spanText(s: number): string {
  return elapsedText(Math.round(s) * 1000);
}

/** "C3 + 0:12", "C3 − 0:05": from left to right in every language, and never broken. */
export function afterC3Text(s: number): string {
  const whole = Math.round(s);
  return `\u2066C3\u00a0${whole < 0 ? "−" : "+"}\u00a0${spanText(Math.abs(whole))}\u2069`;
}
