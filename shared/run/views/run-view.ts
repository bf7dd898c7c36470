/** What the run that is on looks like at an instant: the site's rigs, or those that somebody asks for. */
import type { LocalEclipse } from "../../plan/local-eclipse.ts";
import type { Plan } from "../../plan/model/plan.ts";
import type { RunMs, UtcMs } from "../../time/instants.ts";
import type { ClockHealth, Doubt } from "../doubt.ts";
import type { EffectiveContacts } from "../effective-contacts.ts";
import type { PracticeStarted } from "../events.ts";
import type { RunRecord, SiteState } from "../state.ts";
import type { Presence } from "./presence.ts";
import { type RigStatus, rigStatus } from "./rig-status.ts";
import { type OwnKnowledge, type SiteNow, siteNow } from "./site-now.ts";

/** What does not hang on any one rig. */
export interface RunCommon {
  run: RunRecord;
  contacts: EffectiveContacts;
  runNow: RunMs;
  now: UtcMs;
  practice: PracticeStarted | null;
  doubt: Doubt;
  gets: LocalEclipse;
}

export interface RunView extends RunCommon {
  rigs: RigStatus[];
}

/** Everything about the run that is on at an instant. */
export function viewRun(
  state: SiteState,
  presence: Presence,
  clock: ClockHealth,
  now: UtcMs,
  own: OwnKnowledge = {},
): RunView {
  return viewRigs(null, state, presence, clock, now, own);
}

/**
 * The same of chosen rigs alone (null: of all), in the order of the plan: costs what these cost. Ids
 * that the plan does not know are passed over.
 */
export function viewRigs(
  rigIds: readonly string[] | null,
  state: SiteState,
  presence: Presence,
  clock: ClockHealth,
  now: UtcMs,
  own: OwnKnowledge = {},
): RunView {
  const site = siteNow(state, clock, now, own);
  const { rigs } = state.plan;
  const chosen = rigIds === null ? rigs : rigs.filter((rig) => rigIds.includes(rig.id));
  return viewOf(
    site,
    chosen.map((rig) => rigStatus(site, rig, presence)),
  );
}

/**
 * A look at everything, where a look `before` is fresh enough for all rigs but those that have
 * `reported` since: only these are looked at anew. Of another plan or run everything is.
 */
export function viewRunAgain(
  before: { plan: Plan; view: RunView },
  reported: ReadonlySet<string>,
  state: SiteState,
  presence: Presence,
  clock: ClockHealth,
  now: UtcMs,
): RunView {
  const site = siteNow(state, clock, now, {});
  const { view } = before;
  const same = before.plan === state.plan && view.run.runId === site.run.runId;
  const rigs = state.plan.rigs.map((rig, index) => {
    const known = same && !reported.has(rig.id) ? view.rigs[index] : undefined;
    return known ?? rigStatus(site, rig, presence);
  });
  return viewOf(site, rigs);
}

function viewOf({ run, contacts, runNow, now, practice, doubt, gets }: SiteNow, rigs: RigStatus[]): RunView {
  return { run, contacts, runNow, now, practice, doubt, gets, rigs };
}
