/**
 * S5: reasons why a filter-off cue may only be taken by eye, and by how much filter-on cues come
 * earlier. In a practice run the hub's distance from UTC does not matter, since the practice
 * hangs on the hub's own clock.
 */
import type { UtcMs } from "../time/instants.ts";
import { contactsOf, type EffectiveContacts } from "./effective-contacts.ts";
import type { RunRecord, SiteState } from "./state.ts";

export type DoubtReason =
  | "clock bound"
  | "clock disputed"
  | "laptop slept"
  | "site unconfirmed"
  | "place uncertain"
  | "prediction revised"
  | "place changed"
  | "called off";

export interface Doubt {
  reasons: DoubtReason[];
  /** How much earlier filter-on cues come, seconds. */
  byS: number;
}

/** What a client or the hub knows of its clock. */
export interface ClockHealth {
  /** This device against the hub, ms; 0 at the hub. */
  boundMs: number;
  /** The hub against UTC, ms. */
  hubBoundMs: number;
  disputed: boolean;
  slept: boolean;
  /** The laptop's own clock was set and nobody has said yet whether that was right; `disputed`, too. */
  stepped?: boolean;
}

export const GOOD_CLOCK: ClockHealth = { boundMs: 0, hubBoundMs: 0, disputed: false, slept: false };

/** Above this bound a clock is in doubt, ms (S5). */
export const DOUBT_BOUND_MS = 1000;
/** How long a changed prediction or place stays a doubt, ms (S5: "the last minute"). */
export const REVISION_MS = 60_000;
/** A prediction known worse than this is in doubt, seconds (S5). */
export const PLACE_BOUND_S = 30;
/** S6: what is seen by eye, by the lead or an operator, is believed from this long before C2, plus the doubt. */
export const SEEN_EARLY_S = 5;
/** An operator's doubt that has no figure counts as this many seconds. Common practice, no source. */
const SEE_UNKNOWN_S = 30;
/** No doubt of the clock makes an operator's word true earlier than this, seconds; common practice, no source. */
const SEE_MOST_S = 300;
/** A doubt above this changes nothing any more: safe cues are at C2 by then (cue-timeline.ts). */
const MOST_DOUBT_S = 3600;

/** `contacts`: the effective ones of this run, where the caller has them already. */
export function doubtAt(
  state: SiteState,
  run: RunRecord,
  clock: ClockHealth,
  now: UtcMs,
  contacts: EffectiveContacts = contactsOf(state, run),
): Doubt {
  const real = run.kind === "real";
  const boundMs = clock.boundMs + (real ? clock.hubBoundMs : 0);
  const reasons: DoubtReason[] = [];
  let byS = 0;
  if (boundMs > DOUBT_BOUND_MS) {
    reasons.push("clock bound");
    byS = Math.max(byS, boundMs / 1000);
  }
  if (real && clock.disputed) reasons.push("clock disputed");
  if (clock.slept) reasons.push("laptop slept");
  const site = state.plan.site;
  if (!site?.confirmed) reasons.push("site unconfirmed");
  const timing = state.circumstances?.timingBoundS ?? 0;
  if (timing > PLACE_BOUND_S) {
    reasons.push("place uncertain");
    byS = Math.max(byS, timing);
  }
  const { c2, filterC2 } = contacts;
  // A shift that far before the prediction is never taken on trust, however long it has stood.
  const farEarly = c2 !== null && filterC2 !== null && c2 < filterC2;
  if (farEarly || (run.revisedUtcMs !== null && recent(run.revisedUtcMs, now)))
    reasons.push("prediction revised");
  if (state.placeChangedUtcMs !== null && recent(state.placeChangedUtcMs, now)) reasons.push("place changed");
  // Two leads may have called it; one who takes theirs back does not take back the other's.
  if (run.calls.some((call) => call.call === "stay filtered" && !call.takenBack)) reasons.push("called off");
  return { reasons, byS: Math.min(byS, MOST_DOUBT_S) };
}

function recent(then: UtcMs, now: UtcMs): boolean {
  return now - then < REVISION_MS;
}

/**
 * Whether an operator's "I see totality" can be true: not before C2 less SEEN_EARLY_S and the
 * doubt. A report from before that (another program's, a slip) releases nothing (S6, S15).
 */
export function mayHaveSeen(filterC2: number | null, doubt: Doubt, saidRunMs: number): boolean {
  const doubtS = Math.min(SEE_MOST_S, Math.max(SEE_UNKNOWN_S, doubt.byS));
  return filterC2 !== null && saidRunMs >= filterC2 - (SEEN_EARLY_S + doubtS) * 1000;
}

/**
 * Whether a filter-off cue may be shown as an order to act. Under doubt it may only when the
 * operator of this rig said "I see totality", or the lead called it.
 */
export function filterOffReleased(doubt: Doubt, seenByEye: boolean): boolean {
  return doubt.reasons.length === 0 || seenByEye;
}
