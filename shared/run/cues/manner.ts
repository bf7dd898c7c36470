/**
 * How a cue is put to a person now: the one place that says so. Phone, array, board, sounds,
 * simulated operator and debrief ask it; nobody decides again. Only what unfilters is ever held
 * back (filter off, look up); whatever makes things safe is always said as it stands.
 *
 *   plain         as the plan has it
 *   touch         practice under the real Sun: touch the filter, leave it on (S8)
 *   rehearsed     practice: said in words that cannot be obeyed at once (S13)
 *   unsaid        "look up" while it is not totality: only that something comes (S13)
 *   by-eye        not before totality is seen: a filter in doubt (S5), eyes always (S13)
 *   filter-first  nobody has said what the filter is (S10)
 *   stay          the lead's "stay filtered" or "Sun returns" stands: only a call of theirs opens
 *   overcast      overcast: stay filtered (S11)
 *   too-late      too little totality left to open (S11)
 *   never         no filter of this rig comes off at this place (S2, S3), whatever the plan says
 *   revoked       this phone's link to the rig was replaced: it hears neither calls nor shifts
 *   covered       "Cover every lens" stands (S7)
 */
import type { Cue } from "../../plan/model/cue.ts";
import type { Rig } from "../../plan/model/plan.ts";
import { isFilterAction } from "../../plan/model/vocabulary.ts";
import { type Allowance, isLookedThrough } from "../../plan/safety/allowance.ts";
import type { RunMs } from "../../time/instants.ts";
import type { Doubt } from "../doubt.ts";
import type { EffectiveContacts } from "../effective-contacts.ts";
import type { PracticeStarted } from "../events.ts";
import { standingSafeCall } from "../orders/calls.ts";
import { runTime } from "../run-time.ts";
import type { RunRecord } from "../state.ts";
import type { Sky } from "../vocabulary.ts";
import { isFilterOff, isLookUp } from "./cue-kinds.ts";
import type { CueStanding, KnownFilter } from "./cue-states.ts";
import { type RigTimes, totalityLastsUntilMs } from "./rig-times.ts";

export type CueManner =
  | "plain"
  | "touch"
  | "rehearsed"
  | "unsaid"
  | "by-eye"
  | "filter-first"
  | "stay"
  | "overcast"
  | "too-late"
  | "never"
  | "revoked"
  | "covered";

/** What bears on the manner of a rig's cues. */
export interface MannerContext {
  rig: Parameters<typeof isLookedThrough>[0];
  allowance: Allowance | null;
  run: Pick<RunRecord, "kind" | "calls" | "unmadeUtcMs">;
  practice: PracticeStarted | null;
  doubt: Doubt;
  contacts: EffectiveContacts;
  times: RigTimes;
  runNow: RunMs;
  filter: KnownFilter | null;
  sky: Sky | null;
  /** S8. */
  touchOnly: boolean;
  cover: boolean;
  /** This phone's link to the rig was replaced. */
  revoked: boolean;
}

/** S11: a hole in the cloud is used only with this much totality left, seconds. */
const OPEN_LEAST_S = { camera: 20, lookedThrough: 40 } as const;
/**
 * S6: released or taken back this long before a cue or later, only a fresh call of totality opens:
 * a click would else unfilter at once. Common practice, no source.
 */
const UNMADE_MS = 60_000;

export function cueManner(cue: Pick<CueStanding, "cue" | "dueMs">, context: MannerContext): CueManner {
  const { action } = cue.cue;
  const { touchOnly, cover } = context;
  if (isLookUp(cue.cue)) return lookUpManner(cue, context);
  if (!isFilterOff(cue.cue)) {
    // A filter that is off under the real Sun has to go on, practice or not.
    const touches = action === "tape" || (action === "filter-on" && context.filter?.state !== "off");
    return touchOnly && touches ? "touch" : "plain";
  }
  if (cover) return "covered";
  if (touchOnly) return "touch";
  if (context.allowance === null) return "never";
  if (context.revoked) return "revoked";
  if (context.filter === null || context.filter.state === "unknown") return "filter-first";
  if (standingSafeCall(context.run.calls)) return "stay";
  if (context.sky === "overcast") return "overcast";
  const { runNow, times } = context;
  const untilMs = totalityLastsUntilMs(context.contacts, context.doubt, times, runNow);
  const leastS = isLookedThrough(context.rig) ? OPEN_LEAST_S.lookedThrough : OPEN_LEAST_S.camera;
  if (untilMs !== null && Math.max(runNow, times.c2 ?? runNow) > untilMs - leastS * 1000) return "too-late";
  return byEyeOnly(cue, context) ? "by-eye" : "plain";
}

function lookUpManner(cue: Pick<CueStanding, "dueMs">, context: MannerContext): CueManner {
  if (context.cover) return "covered";
  if (context.run.kind === "practice") return "rehearsed";
  if (context.revoked) return "revoked";
  if (standingSafeCall(context.run.calls)) return "stay";
  const { c2, seenMs } = context.times;
  if (c2 === null || context.runNow < c2) return "unsaid";
  // Glasses come off by a call of the eye alone, never by the clock (S13).
  if (seenMs !== null) return "plain";
  return context.runNow < cue.dueMs ? "unsaid" : "by-eye";
}

/** S5, S6: whether what unfilters waits for an eye that sees totality. */
function byEyeOnly({ dueMs }: Pick<CueStanding, "dueMs">, context: MannerContext): boolean {
  if (context.times.seenMs !== null) return false;
  if (context.doubt.reasons.length > 0) return true;
  const { unmadeUtcMs } = context.run;
  return unmadeUtcMs !== null && runTime(context.practice, unmadeUtcMs) > dueMs - UNMADE_MS;
}

/** Whether a cue unfilters but must not be obeyed now. */
export function isHeld(manner: CueManner): boolean {
  return manner !== "plain" && manner !== "touch" && manner !== "rehearsed";
}

/** S14: where a lead's own words stand. */
export type OwnWords =
  /** What the cue says; also where there are none. */
  | "headline"
  /** Under what the cue does, or under "Filter stays on." */
  | "note"
  /** Under "Glasses stay on.", for a rig without a filter. */
  | "note, glasses";

/**
 * S14: words of a lead's own cannot be judged. On filter cues, where no filter may come off, and
 * for every cue while the Sun is exposed, they stand as a note under what is known to be right.
 */
export function ownWordsOf(
  cue: Pick<CueStanding, "fromMs" | "dueMs"> & { cue: Pick<Cue, "say" | "action" | "key" | "countInS"> },
  rig: Pick<Rig, "filter">,
  { allowance, times, runNow }: Pick<MannerContext, "allowance" | "times" | "runNow">,
): OwnWords {
  if (!cue.cue.say) return "headline";
  const filterless = rig.filter === "none by design";
  const note = filterless ? "note, glasses" : "note";
  if (isFilterAction(cue.cue.action) || isFilterOff(cue.cue)) return "note";
  if (!filterless && allowance === null) return note;
  const { c2, safeC3 } = times;
  if (c2 === null || safeC3 === null) return note;
  // Within its window and while it is counted in a cue is read now, whenever it is due.
  const shownMs = Math.min(cue.fromMs, cue.dueMs - cue.cue.countInS * 1000);
  const readFromMs = runNow >= shownMs ? runNow : cue.dueMs;
  return readFromMs < c2 || Math.max(runNow, cue.dueMs) >= safeC3 ? note : "headline";
}
