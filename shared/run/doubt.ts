/**
 * S5: doubt. Reasons why a filter-off cue may only be taken by eye, and one figure in seconds by
 * which safe-making cues come earlier.
 *
 * Model: what is said of the contacts may be off by what the place leaves open (timing bound) plus
 * the worst that is known against the clock: its bound, a step nobody has answered, a source or a
 * witness that disagrees. More than totality's length counts as its length. While no reason
 * stands, the figure changes nothing: predictions are always off by a second or two (S15).
 *
 * A call of totality by eye settles most of it. Whoever saw totality begin within
 * EYE_WITHIN_S of the truth knows the clock's error together with the place's: what is left is at
 * most the call's distance from predicted C2 plus EYE_WITHIN_S, and totality cannot end before the
 * call + its length − EYE_WITHIN_S − what the place leaves open of the length. Proof: let c2, c3
 * be the true contacts on the hub's clock, t the call, |t − c2| ≤ 5 s, and l ≥ L − open the true
 * length. Then c3 = c2 + l ≥ t − 5 + L − open, whatever the clock's error. (`safeC3`)
 *
 * In a practice run the hub's distance from UTC does not matter, since the practice hangs on the
 * hub's own clock; a step of a clock may be practised, and is a doubt like a real one.
 */
import { localEclipse } from "../plan/local-eclipse.ts";
import { earliest, later, latest, type RunMs, type UtcMs } from "../time/instants.ts";
import { type EffectiveContacts, SHIFT_TRUST_S } from "./effective-contacts.ts";
import { standingCall, standingTotality } from "./orders/calls.ts";
import type { RunRecord, SiteState } from "./state.ts";

type DoubtReason =
  | "clock bound"
  | "clock disputed"
  | "laptop slept"
  | "site unconfirmed"
  | "place uncertain"
  | "prediction revised"
  | "place changed"
  | "elsewhere"
  | "called off";

export interface Doubt {
  reasons: DoubtReason[];
  /** How much earlier safe-making cues come before anybody has seen totality, seconds; 0 without a reason. */
  byS: number;
  /** Place and the worst of the clock, seconds, also without a reason; totality's length at most. */
  figureS: number;
  /** How long before C2 totality is believed that is seen by eye, less SEEN_EARLY_S, seconds. */
  eyeEarlyS: number;
  /** Seconds of totality here; 0 where there is none. */
  lengthS: number;
  /** By how much the place may make it shorter, seconds. */
  lengthOpenS: number;
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
  /** How far a pending step, another source or a witness says the hub may be off, ms; 0 or missing when nothing does. */
  apartMs?: number;
}

export const GOOD_CLOCK: ClockHealth = { boundMs: 0, hubBoundMs: 0, disputed: false, slept: false };

/** Above this bound a clock is in doubt, ms (S5). */
export const DOUBT_BOUND_MS = 1000;
/** How long a changed prediction or place stays a doubt, ms (S5: "the last minute"). */
export const REVISION_MS = 60_000;
/** A prediction known worse than this is in doubt, seconds (S5). */
const PLACE_BOUND_S = 30;
/** S6: what is seen by eye, by the lead or an operator, is believed from this long before C2, plus the doubt. */
export const SEEN_EARLY_S = 5;
/** S5: how well an eye tells the beginning of totality, seconds. */
const EYE_WITHIN_S = 5;
/** A prediction known this well is not brought forward by a call, seconds. Common practice, no source. */
const WELL_KNOWN_S = 2;
/** How far a clock is set by a step that is practised, seconds. Common practice, no source. */
const PRACTISED_STEP_S = 4;
/** Where no totality bounds it: nothing hangs on a larger figure. */
const MOST_DOUBT_S = 3600;

/** A step of a clock that this practice practises, and that nobody has answered yet. */
export function practisedStep({ stepped }: RunRecord, now: UtcMs): RunRecord["stepped"] {
  return stepped && now < stepped.untilUtcMs ? stepped : undefined;
}

/** `elsewhere`: this phone knows itself to be away from the plan's place. */
export function doubtAt(
  state: SiteState,
  run: RunRecord,
  clock: ClockHealth,
  now: UtcMs,
  elsewhere = false,
): Doubt {
  const real = run.kind === "real";
  const lengthS = localEclipse(state.circumstances).totalityS;
  const boundMs = clock.boundMs + (real ? clock.hubBoundMs : 0);
  const practised = practisedStep(run, now) !== undefined;
  const apartMs = real ? (clock.apartMs ?? 0) : practised ? PRACTISED_STEP_S * 1000 : 0;
  const timingS = state.circumstances?.timingBoundS ?? 0;
  const reasons: DoubtReason[] = [];
  if (boundMs > DOUBT_BOUND_MS) reasons.push("clock bound");
  if ((real && clock.disputed) || apartMs > DOUBT_BOUND_MS) reasons.push("clock disputed");
  if (clock.slept) reasons.push("laptop slept");
  const site = state.plan.site;
  if (!site?.confirmed) reasons.push("site unconfirmed");
  if (timingS > PLACE_BOUND_S || (lengthS > 0 && timingS >= lengthS / 2)) reasons.push("place uncertain");
  if (elsewhere) reasons.push("elsewhere");
  // A shift that far before the prediction is never taken on trust, however long it has stood.
  const farEarly = (run.shifts.c2 ?? 0) < -SHIFT_TRUST_S * 1000 && standingTotality(run.calls) === null;
  if (farEarly || (run.revisedUtcMs !== null && recent(run.revisedUtcMs, now)))
    reasons.push("prediction revised");
  if (state.placeChangedUtcMs !== null && recent(state.placeChangedUtcMs, now)) reasons.push("place changed");
  // Two leads may have called it; one who takes theirs back does not take back the other's.
  const calledOff = standingCall(run.calls, "stay filtered") !== null;
  const mostS = lengthS > 0 ? lengthS : MOST_DOUBT_S;
  const worstS = Math.max(boundMs, apartMs) / 1000;
  const figureS = elsewhere ? mostS : Math.min(mostS, timingS + worstS);
  const doubted = reasons.length > 0;
  if (calledOff) reasons.push("called off");
  return {
    reasons,
    byS: doubted ? figureS : 0,
    figureS,
    eyeEarlyS: doubted ? figureS : Math.min(mostS, boundMs / 1000),
    lengthS,
    lengthOpenS: Math.min(lengthS, lengthOpenS(state)),
  };
}

function recent(then: UtcMs, now: UtcMs): boolean {
  return now - then < REVISION_MS;
}

/** What the place leaves open of the length; from the place's share where an older plan has no figure. */
function lengthOpenS({ circumstances }: SiteState): number {
  if (!circumstances) return 0;
  if (circumstances.lengthBoundS !== undefined) return circumstances.lengthBoundS;
  const share = circumstances.timingShares?.find(({ cause }) => cause === "place")?.s;
  return 2 * (share ?? circumstances.timingBoundS);
}

/**
 * From when on "totality", seen by the lead or by an operator, can be true, run time ms: C2 less
 * SEEN_EARLY_S and the doubt (S6). One limit for both; null where there is no totality.
 */
export function eyeBelievedFromMs({ plannedC2 }: EffectiveContacts, doubt: Doubt): RunMs | null {
  return plannedC2 === null ? null : later(plannedC2, -(SEEN_EARLY_S + doubt.eyeEarlyS) * 1000);
}

/**
 * When safe-making cues reckon with the Sun's return, run time ms: predicted C3, never later, less
 * the doubt; less what is left of it once totality was seen at the instants `seenRunMs`.
 */
export function safeC3(
  { filterC3, predicted }: EffectiveContacts,
  doubt: Doubt,
  seenRunMs: readonly RunMs[],
): RunMs | null {
  if (filterC3 === null) return null;
  // Measured against the prediction itself: a shift of C2 says nothing of C3.
  const plannedC2 = predicted.c2;
  if (seenRunMs.length === 0 || plannedC2 === null) return later(filterC3, -doubt.byS * 1000);
  const firstMs = earliest(...seenRunMs);
  const earliestMs = later(firstMs, (doubt.lengthS - EYE_WITHIN_S - doubt.lengthOpenS) * 1000);
  // Without a doubt the prediction stands within its figure; totality that was seen early may end as
  // early. A call that only a doubt let in stays doubtful when its reason has gone.
  if (doubt.byS === 0 && firstMs >= plannedC2 - SEEN_EARLY_S * 1000) {
    const known =
      doubt.figureS > WELL_KNOWN_S ? latest(later(filterC3, -doubt.figureS * 1000), earliestMs) : filterC3;
    return earliest(filterC3, later(firstMs, doubt.lengthS * 1000), known);
  }
  const leftS = Math.min(
    ...(doubt.byS > 0 ? [doubt.byS] : []),
    ...seenRunMs.map((at) => Math.abs(at - plannedC2) / 1000 + EYE_WITHIN_S),
  );
  return earliest(later(filterC3, -leftS * 1000), earliestMs);
}
