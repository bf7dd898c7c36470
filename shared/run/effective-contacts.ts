/**
 * Effective contacts: predicted, plus the limb, plus any shift or call (SPEC R2). Run time, ms.
 *
 * A call of "totality" moves C2 to the call when it lies within CALL_REACH_S of C2; a call of
 * "sun returns" moves C3 to the call from C2 to RETURN_REACH_S after C3, and is a mere "filters on"
 * at any other time. Calls that do not stand (calls.ts) do not count. `filterC3` is what
 * safe-making cues hang on: never later than the prediction, whatever was shifted (S5: no shift
 * delays one by itself). `filterC2` is its mirror: without a call by eye no shift takes it more
 * than SHIFT_TRUST_S before the prediction, so that a slip of the hand opens nothing in sunlight.
 */
import type { Circumstances, ContactName, MomentName } from "../eclipse/circumstances-types.ts";
import { anchoredMs } from "../plan/cue-times.ts";
import { type ContactsMs, localEclipse } from "../plan/local-eclipse.ts";
import type { CueAnchor } from "../plan/model/vocabulary.ts";
import { earliest, later, latest, type RunMs, runMs, type UtcMs } from "../time/instants.ts";
import { standingCalls, standingTotality } from "./orders/calls.ts";
import type { RunRecord, SiteState } from "./state.ts";
import type { CallName } from "./vocabulary.ts";

export interface EffectiveContacts extends Partial<Record<MomentName, RunMs | null>> {
  c1: RunMs | null;
  c2: RunMs | null;
  max: RunMs | null;
  c3: RunMs | null;
  c4: RunMs | null;
  /** Never later than predicted plus limb. */
  filterC3: RunMs | null;
  /** From when a filter may be off by the clock: never much earlier than predicted plus limb. */
  filterC2: RunMs | null;
  /** The same before any call: what a call of totality is measured against. */
  plannedC2: RunMs | null;
  /** Predicted, whatever was shifted or called: what is made safe is never later (S5). */
  predicted: Readonly<Record<ContactName, RunMs | null>>;
}

/**
 * A shift that takes C2 earlier than this, seconds, counts only by eye. It is the margin that S3
 * leaves after C2 to whoever looks through, so a wrong shift within it harms no eye.
 */
export const SHIFT_TRUST_S = 10;

/** How far a call of totality may move C2 later, seconds. Common practice, no source. */
const CALL_REACH_S = 15;
/** S6: until how long after C3 a call of the Sun's return moves it, seconds. */
const RETURN_REACH_S = 60;

export function effectiveContacts(
  circumstances: Circumstances | null,
  run: Pick<RunRecord, "shifts" | "calls">,
): EffectiveContacts {
  const { contacts, kind } = localEclipse(circumstances);
  const predicted = onRunTime(contacts);
  const base = (name: ContactName): RunMs | null => predicted[name];
  const shifted = (name: ContactName): RunMs | null => {
    const at = base(name);
    return at === null ? null : later(at, run.shifts[name] ?? 0);
  };
  let c2 = shifted("c2");
  let c3 = shifted("c3");
  const predictedC2 = base("c2");
  const predictedC3 = base("c3");
  const plannedC2 =
    c2 === null || predictedC2 === null ? c2 : latest(c2, later(predictedC2, -SHIFT_TRUST_S * 1000));
  const lastCallMs = plannedC2 === null ? 0 : plannedC2 + CALL_REACH_S * 1000;
  const standing = standingTotality(run.calls);
  const opens = standing && standing.atRunMs <= lastCallMs ? standing.atRunMs : null;
  // What was seen stays what was seen when something has made things safe since; it opens nothing.
  const seen = opens ?? lastTotality(run.calls, lastCallMs);
  if (c2 !== null && seen !== null) c2 = seen;
  const filterC2 = plannedC2 === null ? null : (opens ?? plannedC2);
  // From the predicted C2 on, where a shift has put it later: what makes safe counts early.
  const begins = c2 === null || predictedC2 === null ? c2 : earliest(c2, predictedC2);
  if (kind === "total" && begins !== null && c3 !== null) {
    // The first that counts: called again, the Sun is not back any later.
    const latestC3 = c3 + RETURN_REACH_S * 1000;
    const returned = standingCalls(run.calls, "sun returns").find(
      ({ atRunMs }) => atRunMs >= begins && atRunMs <= latestC3,
    );
    if (returned) c3 = returned.atRunMs;
  }
  if (c2 !== null && c3 !== null && c3 < c2) c2 = c3;
  const { moments, sunUp } = circumstances ?? {};
  const { sunLost, sunBack, beadsC2, beadsC3 } = moments ?? {};
  // Beads go with their contact; skyline and horizon do not move.
  const withContact = (moment: UtcMs | undefined, now: RunMs | null, before: RunMs | null): RunMs | null =>
    moment === undefined || now === null || before === null ? null : later(runMs(moment), now - before);
  return {
    sunLost: onRun(sunLost),
    sunBack: onRun(sunBack),
    beadsC2: withContact(beadsC2, c2, predictedC2),
    beadsC3: withContact(beadsC3, c3, predictedC3),
    sunrise: onRun(sunUp?.fromUtcMs),
    sunset: onRun(sunUp?.untilUtcMs),
    c1: shifted("c1"),
    c2,
    max: shifted("max"),
    c3,
    c4: shifted("c4"),
    filterC3: c3 === null || predictedC3 === null ? c3 : earliest(c3, predictedC3),
    filterC2,
    plannedC2,
    predicted,
  };
}

/** Run time is that of the eclipse itself: a practice shifts the clock to it, not it to the clock. */
function onRunTime({ c1, c2, max, c3, c4 }: ContactsMs): EffectiveContacts["predicted"] {
  return { c1: onRun(c1), c2: onRun(c2), max: onRun(max), c3: onRun(c3), c4: onRun(c4) };
}

/** Null for what this place does not get. */
function onRun(at: UtcMs | null | undefined): RunMs | null {
  return at == null ? null : runMs(at);
}

/** When totality was last called no later than `latestMs`, ended since or not; null where it was not. */
function lastTotality(calls: RunRecord["calls"], latestMs: number): RunMs | null {
  const found = calls.findLast(
    ({ call, takenBack, atRunMs }) => call === "totality" && !takenBack && atRunMs <= latestMs,
  );
  return found?.atRunMs ?? null;
}

/** Whether what a site gets, or when, differs by more than a clock's doubt (half a second). */
export function contactsMoved(before: Circumstances | null, after: Circumstances | null): boolean {
  const a = localEclipse(before);
  const b = localEclipse(after);
  if (a.kind !== b.kind) return true;
  return (["c1", "c2", "max", "c3", "c4"] as const).some((name) => {
    const from = a.contacts[name];
    const to = b.contacts[name];
    return from === null || to === null ? from !== to : Math.abs(to - from) > 500;
  });
}

/** The effective contacts of a run of this site. */
export function contactsOf(state: SiteState, run: RunRecord): EffectiveContacts {
  return effectiveContacts(state.circumstances, run);
}

/** Whether a contact may still be shifted: as it stands, or as it was predicted, it is ahead. */
export function isAhead(contacts: EffectiveContacts, name: ContactName, at: RunMs): boolean {
  return latest(contacts[name] ?? at, contacts.predicted[name] ?? at) > at;
}

/** What a call by eye is compared with; null for one that names no contact, or where there is none. */
export function predictedOfCall(
  call: CallName,
  { predicted }: Pick<EffectiveContacts, "predicted">,
): RunMs | null {
  if (call === "totality") return predicted.c2;
  return call === "sun returns" ? predicted.c3 : null;
}

/** The prediction: without the shifts and calls of any run. */
export function plannedContacts({ circumstances }: Pick<SiteState, "circumstances">): EffectiveContacts {
  return effectiveContacts(circumstances, { shifts: {}, calls: [] });
}

/** The instant of an anchor; null where this place does not get it. */
export function anchorMs(contacts: EffectiveContacts, anchor: CueAnchor): RunMs | null {
  return anchoredMs(contacts, anchor, 0);
}

/**
 * What people wait for next: the maximum only where there is no C2, and C3 never later than predicted,
 * whatever was shifted (S5).
 */
export function nextAwaited(contacts: EffectiveContacts, at: RunMs): { name: ContactName; at: RunMs } | null {
  const central = contacts.c2 !== null && contacts.c3 !== null;
  return nextContact(central ? { ...contacts, max: null, c3: contacts.filterC3 } : contacts, at);
}

/** The next contact after an instant. */
export function nextContact(contacts: EffectiveContacts, at: RunMs): { name: ContactName; at: RunMs } | null {
  for (const name of ["c1", "c2", "max", "c3", "c4"] as const) {
    const when = contacts[name];
    if (when !== null && when > at) return { name, at: when };
  }
  return null;
}
