/**
 * How a cue may be put to an operator now (SAFETY SPEC). Only cues that take a filter off are
 * ever held back; whatever makes things safe is always said as it stands.
 *
 *   plain         as the plan has it
 *   touch         practice under the real Sun: touch the filter, leave it on (S8)
 *   by-eye        in doubt: not before totality is seen (S5)
 *   filter-first  nobody has said what the filter is (S10)
 *   stay          the lead called to stay filtered
 *   overcast      overcast: stay filtered (S11)
 *   too-late      too little totality left to open (S11)
 *   never         no filter of this rig comes off at this place (S2, S3), whatever the plan says
 *   revoked       this phone's link to the rig was replaced: it hears neither calls nor shifts
 *   covered       "Cover every lens" stands (S7)
 */

import { filterAllowance, isLookedThrough } from "../../../shared/plan/safety/allowance.ts";
import type { WhatSiteGets } from "../../../shared/plan/what-site-gets.ts";
import type { CueView } from "../../../shared/run/cue-timeline.ts";
import { type Doubt, filterOffReleased } from "../../../shared/run/doubt.ts";
import type { EffectiveContacts } from "../../../shared/run/effective-contacts.ts";
import type { FilterState } from "../../../shared/run/filter-state.ts";
import type { RigStatus } from "../../../shared/run/rig-status.ts";
import type { RunRecord } from "../../../shared/run/state.ts";

export type CueMode =
  | "plain"
  | "touch"
  | "by-eye"
  | "filter-first"
  | "stay"
  | "overcast"
  | "too-late"
  | "never"
  | "revoked"
  | "covered";

/** What bears on all rigs of the site alike. */
export interface ModeContext {
  run: Pick<RunRecord, "kind" | "calls">;
  doubt: Doubt;
  contacts: EffectiveContacts;
  runNow: number;
  cover: boolean;
  gets: WhatSiteGets;
  /** Rigs to which this phone's link was replaced. */
  revoked?: readonly string[];
}

/** S11: a hole in the cloud is used only with this much totality left, seconds. */
export const OPEN_LEAST_S = { camera: 20, lookedThrough: 40 } as const;

export function cueMode(cue: Pick<CueView, "cue">, status: RigStatus, context: ModeContext): CueMode {
  const { action } = cue.cue;
  const touchOnly = context.run.kind === "practice" && !status.practiceSafe;
  if (action === "filter-on") return touchOnly ? "touch" : "plain";
  if (action !== "filter-off") return touchOnly && action === "tape" ? "touch" : "plain";
  if (context.cover) return "covered";
  if (touchOnly) return "touch";
  if (filterAllowance(status.rig, context.gets) === null) return "never";
  if (context.revoked?.includes(status.rig.id)) return "revoked";
  if (ownFilter(status) === "unknown") return "filter-first";
  const seen = status.sawTotality || totalityCalled(context.run.calls);
  if (context.doubt.reasons.includes("called off") && !calledAfterStay(context.run.calls)) return "stay";
  if (status.sky === "overcast") return "overcast";
  const { filterC3 } = context.contacts;
  const leastS = isLookedThrough(status.rig) ? OPEN_LEAST_S.lookedThrough : OPEN_LEAST_S.camera;
  if (filterC3 !== null && context.runNow > filterC3 - leastS * 1000) return "too-late";
  return filterOffReleased(context.doubt, seen) ? "plain" : "by-eye";
}

/**
 * The rig's filter as its own phone knows it. The phone lies beside the rig: silence towards the
 * hub, which makes a filter unknown to everybody else, makes it no less known here.
 */
export function ownFilter(status: RigStatus): FilterState {
  return status.rig.filter === "none by design" ? "none by design" : status.verdict.state;
}

/** Whether the lead's call of totality stands in this run. */
export function totalityCalled(calls: RunRecord["calls"]): boolean {
  return calls.some((call) => call.call === "totality" && !call.takenBack);
}

function calledAfterStay(calls: RunRecord["calls"]): boolean {
  const standing = calls.filter((call) => !call.takenBack);
  const stay = standing.findLastIndex((call) => call.call === "stay filtered");
  const totality = standing.findLastIndex((call) => call.call === "totality");
  return totality > stay;
}
