/**
 * What bears on one rig's cues beside the site's contacts: when totality was seen for it, and
 * from and until when its filter may be off (S1, S3, S4, S5, S6).
 *
 * Seen is what the lead called, while the call stands, or what the rig's own operator said;
 * neither counts from before it can be true, nor from before something made things safe.
 */
import type { Allowance } from "../../plan/safety/allowance.ts";
import { type Doubt, eyeBelievedFromMs, safeC3 } from "../doubt.ts";
import type { EffectiveContacts } from "../effective-contacts.ts";
import type { PracticeStarted } from "../events.ts";
import { standingTotality } from "../orders/calls.ts";
import { runTime } from "../run-time.ts";
import type { RigRecord, RunRecord } from "../state.ts";

export interface RigTimes {
  /** When totality was seen for this rig, run time ms; null while nobody has. */
  seenMs: number | null;
  /** From when its filter may be off, before its allowance: C2 by the clock, or by the eye where that is earlier. */
  c2: number | null;
  /** On which its safe-making cues hang: C3, earlier by the doubt that is left. */
  safeC3: number | null;
  /** By how much safe-making cues that hang on anything else come earlier, seconds. */
  earlierS: number;
}

/** Without doubt, and before anybody has seen anything: for plans and paper. */
export function timesByTheClock({ filterC2, filterC3 }: EffectiveContacts): RigTimes {
  return { seenMs: null, c2: filterC2, safeC3: filterC3, earlierS: 0 };
}

export function rigTimes(
  run: RunRecord,
  record: RigRecord | null,
  contacts: EffectiveContacts,
  doubt: Doubt,
  practice: PracticeStarted | null,
): RigTimes {
  const believedMs = eyeBelievedFromMs(contacts, doubt);
  const seen: number[] = [];
  const called = standingTotality(run.calls);
  if (called && contacts.plannedC2 !== null) seen.push(called.atRunMs);
  const own = ownSightMs(run, record, practice);
  if (own !== null && believedMs !== null && own >= believedMs) seen.push(own);
  const { filterC2, filterC3 } = contacts;
  const end = safeC3(contacts, doubt, seen);
  const seenMs = seen.length > 0 ? Math.min(...seen) : null;
  return {
    seenMs,
    c2: filterC2 === null || seenMs === null ? filterC2 : Math.min(filterC2, seenMs),
    safeC3: end,
    earlierS: end === null || filterC3 === null ? doubt.byS : Math.max(0, (filterC3 - end) / 1000),
  };
}

/** When the rig's operator said "I see totality", run time ms; null where something made things safe since. */
function ownSightMs(
  run: RunRecord,
  record: RigRecord | null,
  practice: PracticeStarted | null,
): number | null {
  const word = record?.sawTotality;
  if (!word?.value) return null;
  // Also not from before the taking back: that never unfilters (S6).
  const notBefore = Math.max(run.madeSafeUtcMs ?? 0, run.unmadeUtcMs ?? 0);
  if (word.observedUtcMs <= notBefore) return null;
  return runTime(practice, word.observedUtcMs);
}

/** Whether a rig's filter may be off at a run time: in totality, or within its allowance (S3, S4). */
export function mayBeOff(allowance: Allowance | null, times: RigTimes, runNow: number): boolean {
  if (!allowance || times.c2 === null || times.safeC3 === null) return false;
  return (
    runNow >= times.c2 + allowance.offFrom.offsetS * 1000 &&
    runNow < times.safeC3 + allowance.onBy.offsetS * 1000
  );
}

/**
 * Until when totality lasts for certain for whoever opens now: as if totality were seen at this
 * instant, but not before it is predicted, where it was not yet (S5, S11).
 */
export function totalityLastsUntilMs(
  contacts: EffectiveContacts,
  doubt: Doubt,
  times: RigTimes,
  runNow: number,
): number | null {
  if (times.seenMs !== null) return times.safeC3;
  const sightMs = Math.max(runNow, contacts.plannedC2 ?? runNow);
  return safeC3(contacts, doubt, doubt.byS > 0 ? [sightMs] : []);
}
