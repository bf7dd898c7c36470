/**
 * What bears on one rig's cues beside the site's contacts: when totality was seen for it, and
 * from and until when its filter may be off (S1, S3, S4, S5, S6).
 *
 * Seen is what the lead called, while the call stands, or what the rig's own operator said;
 * neither counts from before it can be true, nor from before something made things safe.
 *
 * The lead's call is judged once, when it is made; an operator's word is a fact and is judged at
 * each look. A shift must not make it count that did not (S6), so what was said before the last
 * revision of the prediction is measured against what no revision changes. And a word that a doubt
 * let in goes on bringing the end forward when the reason has gone, as a call does (S5): a witness
 * who leaves takes nothing back of what the eye has seen.
 */
import type { Allowance } from "../../plan/safety/allowance.ts";
import { earliest, latest, type RunMs } from "../../time/instants.ts";
import { type Doubt, SEEN_EARLY_S, safeC3 } from "../doubt.ts";
import type { EffectiveContacts } from "../effective-contacts.ts";
import type { PracticeStarted } from "../events.ts";
import { standingTotality } from "../orders/calls.ts";
import { runTime } from "../run-time.ts";
import type { RigRecord, RunRecord } from "../state.ts";

export interface RigTimes {
  /** When totality was seen for this rig, run time ms; null while nobody has. */
  seenMs: RunMs | null;
  /** From when its filter may be off, before its allowance: C2 by the clock, or by the eye where that is earlier. */
  c2: RunMs | null;
  /**
   * A word of its operator that opens nothing, since it came earlier than is believed by now, and by
   * which totality may yet end earlier, run time ms; null without one.
   */
  doubtfulMs: RunMs | null;
  /** Totality was seen and the prediction revised of late: filter-off cues hang on what was seen alone. */
  eyeAlone: boolean;
  /** On which its safe-making cues hang: C3, earlier by the doubt that is left. */
  safeC3: RunMs | null;
  /** By how much safe-making cues that hang on anything else come earlier, seconds. */
  earlierS: number;
}

/** Without doubt, and before anybody has seen anything: for plans and paper. */
export function timesByTheClock({ filterC2, filterC3 }: EffectiveContacts): RigTimes {
  return { seenMs: null, c2: filterC2, doubtfulMs: null, eyeAlone: false, safeC3: filterC3, earlierS: 0 };
}

export function rigTimes(
  run: RunRecord,
  record: RigRecord | null,
  contacts: EffectiveContacts,
  doubt: Doubt,
  practice: PracticeStarted | null,
): RigTimes {
  const seen: RunMs[] = [];
  const called = standingTotality(run.calls);
  if (called && contacts.plannedC2 !== null) seen.push(called.atRunMs);
  const own = ownSight(run, record, practice, contacts, doubt);
  if (own?.believed) seen.push(own.atMs);
  const doubtfulMs = own && !own.believed ? own.atMs : null;
  const { filterC2, filterC3 } = contacts;
  const end = safeC3(contacts, doubt, doubtfulMs === null ? seen : [...seen, doubtfulMs]);
  const seenMs = seen.length > 0 ? earliest(...seen) : null;
  return {
    seenMs,
    c2: filterC2 === null || seenMs === null ? filterC2 : earliest(filterC2, seenMs),
    doubtfulMs,
    eyeAlone: seenMs !== null && doubt.reasons.includes("prediction revised"),
    safeC3: end,
    earlierS: end === null || filterC3 === null ? doubt.byS : Math.max(0, (filterC3 - end) / 1000),
  };
}

/**
 * When the rig's operator said "I see totality", run time ms, and whether that is believed; null
 * where something made things safe since, and where no doubt could ever let it in: the most there
 * is of one is totality's length.
 */
function ownSight(
  run: RunRecord,
  record: RigRecord | null,
  practice: PracticeStarted | null,
  { plannedC2, predicted }: EffectiveContacts,
  doubt: Doubt,
): { atMs: RunMs; believed: boolean } | null {
  const word = record?.sawTotality;
  if (!word?.value || plannedC2 === null || predicted.c2 === null) return null;
  // Also not from before the taking back: that never unfilters (S6).
  const notBefore = Math.max(run.madeSafeUtcMs ?? 0, run.unmadeUtcMs ?? 0);
  if (word.observedUtcMs <= notBefore) return null;
  const atMs = runTime(practice, word.observedUtcMs);
  // A C2 shifted later takes no belief from what was seen: shifted back, it would give it again.
  const c2 = Math.min(plannedC2, predicted.c2);
  const before = (contactMs: number, earlyS: number) => contactMs - (SEEN_EARLY_S + earlyS) * 1000;
  if (atMs < before(c2, doubt.lengthS)) return null;
  const since = run.revisedUtcMs === null || word.observedUtcMs > run.revisedUtcMs;
  const fromMs = since ? before(c2, doubt.eyeEarlyS) : before(predicted.c2, unrevisedS(doubt));
  return { atMs, believed: atMs >= fromMs };
}

/** The doubt that no revision of the prediction brought, seconds. */
function unrevisedS({ reasons, eyeEarlyS }: Doubt): number {
  return reasons.some((reason) => reason !== "prediction revised" && reason !== "called off") ? eyeEarlyS : 0;
}

/** Whether a rig's filter may be off at a run time: in totality, or within its allowance (S3, S4). */
export function mayBeOff(allowance: Allowance | null, times: RigTimes, runNow: RunMs): boolean {
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
  runNow: RunMs,
): RunMs | null {
  if (times.seenMs !== null) return times.safeC3;
  const sightMs = latest(runNow, contacts.plannedC2 ?? runNow);
  const words = times.doubtfulMs === null ? [] : [times.doubtfulMs];
  return safeC3(contacts, doubt, doubt.byS > 0 ? [...words, sightMs] : words);
}
