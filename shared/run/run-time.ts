/**
 * Run time. In a real run it is UTC; in a practice run it is UTC shifted so that the practice
 * starts at the chosen offset from a contact, and scaled by the rate. Both directions are here.
 */
import { ownValue } from "../fields/own-key.ts";
import { localEclipse } from "../plan/local-eclipse.ts";
import { type RunMs, runMs, type UtcMs, utcMs } from "../time/instants.ts";
import type { PracticeStarted } from "./events.ts";
import type { RunRecord, SiteState } from "./state.ts";
import { newRun } from "./state.ts";

/** S8: a practice ends this long before the real first contact, ms. */
export const PRACTICE_CLEAR_MS = 20 * 60_000;

/** S8: the practice that is on at this instant; null when none is, or its latest end has passed. */
export function practiceAt(state: SiteState, now: UtcMs): PracticeStarted | null {
  return state.practice && now < practiceEndMs(state, state.practice) ? state.practice : null;
}

/** Its own latest end, or 20 minutes before the first contact of where the site is by now. */
export function practiceEndMs(state: SiteState, practice: PracticeStarted): UtcMs {
  const c1 = localEclipse(state.circumstances).contacts.c1;
  if (c1 === null || practice.startedUtcMs >= c1) return practice.endsAtUtcMs;
  return utcMs(Math.min(practice.endsAtUtcMs, c1 - PRACTICE_CLEAR_MS));
}

/** The run that is on: the practice while one is, else the real one. */
export function currentRun(state: SiteState, now: UtcMs): RunRecord {
  const id = practiceAt(state, now)?.runId ?? state.realRunId;
  return ownValue(state.runs, id) ?? newRun(id, id === state.realRunId ? "real" : "practice");
}

/** Whether what was said in a run is meant still: words of a practice end with it, those of the real run do not. */
export function isStillSaid(runId: string, state: SiteState, now: UtcMs): boolean {
  return state.practice?.runId !== runId || practiceAt(state, now) !== null;
}

/** Run time at a UTC instant. */
export function runTime(practice: PracticeStarted | null, at: UtcMs): RunMs {
  if (!practice) return runMs(at);
  return runMs(practice.startRunMs + (at - practice.startedUtcMs) * practice.rate);
}

/** The real UTC at which run time reaches an instant. */
export function utcOfRun(practice: PracticeStarted | null, at: RunMs): UtcMs {
  if (!practice) return utcMs(at);
  return utcMs(practice.startedUtcMs + (at - practice.startRunMs) / practice.rate);
}
