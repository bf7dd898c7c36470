/** The first seconds of a practice. */
import type { UtcMs } from "../../time/instants.ts";
import type { PracticeStarted } from "../events.ts";

/** Phones hear of it, ask for the filter, and people look and answer, ms of real time. Common practice, no source. */
const FIRST_WORDS_MS = 15_000;

/**
 * Whether nobody can have answered yet what a practice asks at its start: that a word is lacking is no
 * alert then. What was said is believed at once.
 */
export function hasJustBegun(practice: Pick<PracticeStarted, "startedUtcMs"> | null, now: UtcMs): boolean {
  return practice !== null && now - practice.startedUtcMs < FIRST_WORDS_MS;
}
