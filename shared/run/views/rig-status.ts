/**
 * What is known of each rig now, for rig pages, the array and GET /api/run alike.
 *
 * In a practice run the words of the real run and of the practice are taken together, newest
 * first; when the practice ends its words are gone and the real run's stand alone (S8).
 * A rig nobody has heard of for SILENT_MS has an unknown filter.
 */

import { sunAt } from "../../eclipse/sun.ts";
import { ownValue } from "../../fields/own-key.ts";
import { type LocalEclipse, localEclipse } from "../../plan/local-eclipse.ts";
import type { Plan, Rig } from "../../plan/model/plan.ts";
import { type Allowance, filterAllowance, isLookedThrough } from "../../plan/safety/allowance.ts";
import { type RunMs, type UtcMs, utcMs } from "../../time/instants.ts";
import { cueStates, type KnownFilter } from "../cues/cue-states.ts";
import { cueTimeline } from "../cues/cue-timeline.ts";
import { instructionOf, type PutCue } from "../cues/instruction.ts";
import { cueManner, type MannerContext, ownWordsOf } from "../cues/manner.ts";
import { mayBeOff, type RigTimes, rigTimes } from "../cues/rig-times.ts";
import { type ClockHealth, type Doubt, doubtAt } from "../doubt.ts";
import { contactsOf, type EffectiveContacts } from "../effective-contacts.ts";
import type { PracticeStarted } from "../events.ts";
import { practiceRegisters, stateNow } from "../facts/field-registers.ts";
import {
  type FilterState,
  type FilterVerdict,
  filterVerdict,
  mergeFilterWords,
  NO_FILTER_WORDS,
} from "../facts/filter-state.ts";
import type { Register } from "../facts/registers.ts";
import type { StateNow } from "../facts/reported-fields.ts";
import { standingSafeCall } from "../orders/calls.ts";
import { currentRun, practiceAt, runTime } from "../run-time.ts";
import { NO_RECORD, type RigRecord, type RunRecord, type SiteState } from "../state.ts";

/** What the hub knows of who is connected; never logged. */
export interface Presence {
  /** By rig: the devices linked now. */
  rigs: Readonly<Record<string, readonly LinkedDevice[]>>;
  /** Rigs whose link sends far more than any person does; missing when there is none. */
  noisy?: readonly string[];
}

export interface LinkedDevice {
  deviceId: string;
  label: string;
  boundMs: number | null;
  utcBoundMs: number | null;
  /** Cues and clock are followed without the hub, if need be. */
  armed: boolean;
  sinceUtcMs: number;
}

export const NOBODY: Presence = { rigs: {} };

/** A rig silent this long has an unknown filter. Common practice, no source. */
export const SILENT_MS = 15 * 60_000;
/** A filter that nobody has spoken of for so long is asked for anew (S10). Common practice, no source. */
export const WORD_HOLDS_MS = 6 * 3_600_000;

export interface RigStatus extends StateNow {
  rig: Rig;
  filter: FilterState;
  /** What was last said, where silence has made it unknown or devices disagree. */
  verdict: FilterVerdict;
  silent: boolean;
  linked: readonly LinkedDevice[];
  /** Its link sends far more than any person does. */
  noisy: boolean;
  help: Register<boolean> | null;
  /** What was seen for this rig, and from and until when its filter may be off. */
  times: RigTimes;
  /** When its filter may be off at all; null for never. */
  allowance: Allowance | null;
  /** S1: its filter is off outside its allowance while photosphere can reach it. */
  exposed: boolean;
  /** S8: really capped or pointed away for this practice run. */
  practiceSafe: boolean;
  /** S8: filter cues are touched only: practice under the real Sun. */
  touchOnly: boolean;
  armed: RigRecord["armed"] | null;
  checks: RigRecord["checks"];
  lastUtcMs: UtcMs | null;
  cues: PutCue[];
  /** The instruction of this rig alone, once it is due (cues/instruction.ts, SPEC R15). */
  cueNow: PutCue | null;
  cueNext: PutCue | null;
  /** Seconds late of the latest cue, 0 when none is. */
  latenessS: number;
}

export interface RunView {
  run: RunRecord;
  contacts: EffectiveContacts;
  runNow: RunMs;
  doubt: Doubt;
  gets: LocalEclipse;
  rigs: RigStatus[];
}

/** What only the asking device knows. */
export interface OwnKnowledge {
  /** "Cover every lens" was heard here, logged or not (S7). */
  cover?: boolean;
  /** Rigs to which this device's link was replaced. */
  revoked?: readonly string[];
  /** This device knows itself to be away from the plan's place (S5). */
  elsewhere?: boolean;
}

/** The record of a rig in the run that is on. */
export function recordOf(state: SiteState, run: RunRecord, rigId: string): RigRecord {
  const own = ownValue(run.rigs, rigId) ?? NO_RECORD;
  if (run.kind === "real") return own;
  const real = ownValue(state.runs[state.realRunId]?.rigs ?? {}, rigId) ?? NO_RECORD;
  return {
    ...practiceRegisters(real, own),
    filter: mergeFilterWords(real.filter, own.filter),
    checks: { ...real.checks, ...own.checks },
    cues: own.cues,
    lastUtcMs: (Math.max(real.lastUtcMs ?? 0, own.lastUtcMs ?? 0) || null) as UtcMs | null,
  };
}

/** Everything about the run that is on at an instant. */
export function viewRun(
  state: SiteState,
  presence: Presence,
  clock: ClockHealth,
  now: UtcMs,
  own: OwnKnowledge = {},
): RunView {
  const site = siteNow(state, clock, now, own);
  const rigs = state.plan.rigs.map((rig) => rigStatus(site, rig, presence));
  return viewOf(site, rigs);
}

/**
 * The same, where a look `before` is fresh enough for all rigs but those that have `reported`
 * since: only these are looked at anew. Of another plan or run everything is.
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

function viewOf({ run, contacts, runNow, doubt, gets }: SiteNow, rigs: RigStatus[]): RunView {
  return { run, contacts, runNow, doubt, gets, rigs };
}

function siteNow(state: SiteState, clock: ClockHealth, now: UtcMs, own: OwnKnowledge): SiteNow {
  const run = currentRun(state, now);
  const contacts = contactsOf(state, run);
  const practice = practiceAt(state, now);
  const runNow = runTime(practice, now);
  const doubt = doubtAt(state, run, clock, now, own.elsewhere ?? false);
  const gets = localEclipse(state.circumstances);
  return {
    state,
    run,
    contacts,
    doubt,
    gets,
    runNow,
    now,
    own,
    practice,
    sunUp: state.plan.site !== null && sunAt(utcMs(runNow), state.plan.site).up,
    realSunUp: realSunUp(state, now),
  };
}

/** What all rigs of the site have in common at an instant. */
interface SiteNow {
  state: SiteState;
  run: RunRecord;
  contacts: EffectiveContacts;
  doubt: Doubt;
  gets: LocalEclipse;
  runNow: RunMs;
  now: UtcMs;
  own: OwnKnowledge;
  practice: PracticeStarted | null;
  /** At run time. */
  sunUp: boolean;
  /** Now, in the sky; where no place is known it may be. */
  realSunUp: boolean;
}

/** Whether the real Sun is up at the site; where no place is known it may be. */
export function realSunUp({ plan }: SiteState, at: UtcMs): boolean {
  return plan.site === null || sunAt(at, plan.site).up;
}

/** S8: in a practice under the real Sun a filter is touched only, unless its rig is capped or points away. */
export function isTouchOnly(kind: RunRecord["kind"], practiceSafe: boolean, sunIsUp: boolean): boolean {
  return kind === "practice" && sunIsUp && !practiceSafe;
}

function rigStatus(site: SiteNow, rig: Rig, presence: Presence): RigStatus {
  const linked = ownValue(presence.rigs, rig.id) ?? [];
  const { state, run, contacts, doubt, gets, runNow, now, practice } = site;
  const record = recordOf(state, run, rig.id);
  const verdict = standingVerdict(state, run, rig.id, record, now);
  const silent = linked.length === 0 && (record.lastUtcMs === null || now - record.lastUtcMs > SILENT_MS);
  const practiceSafe = record.practiceSafe?.value ?? false;
  const touchOnly = isTouchOnly(run.kind, practiceSafe, site.realSunUp);
  const times = rigTimes(run, record, contacts, doubt, practice);
  const allowance = filterAllowance(rig, gets);
  const filtered = rig.filter !== "none by design";
  const lookedThrough = isLookedThrough(rig);
  const filter: KnownFilter | null =
    !filtered && verdict.state !== "capped"
      ? null
      : { state: verdict.state, saidMs: verdict.word && runTime(practice, verdict.word.observedUtcMs) };
  // In a practice the real Sun counts, too (S8).
  const exposed =
    filtered &&
    verdict.state === "off" &&
    ((site.sunUp && !mayBeOff(allowance, times, runNow)) || (touchOnly && site.realSunUp));
  const closeFromMs = filtered ? closeFrom(site, exposed, filter) : null;
  const timeline = cueTimeline(rig, contacts, times);
  const standing = cueStates(timeline, {
    marks: record.cues,
    markedAtMs: (mark) => runTime(practice, mark.observedUtcMs),
    runNow,
    contacts,
    times,
    filter,
    lookedThrough,
    touchOnly,
    closeFromMs,
    sunUpFromMs: () => sunUpFrom(state, runNow),
  });
  const context: MannerContext = {
    rig,
    allowance,
    run,
    practice,
    doubt,
    contacts,
    times,
    runNow,
    filter,
    sky: record.sky?.value ?? null,
    touchOnly,
    cover: state.cover !== null || (site.own.cover ?? false),
    revoked: site.own.revoked?.includes(rig.id) ?? false,
  };
  const cues = standing.map((item): PutCue => {
    const { id, cue, n, dueMs, fromMs, toMs, state: cueState, lateS } = item;
    return {
      id,
      cue,
      n,
      dueMs,
      fromMs,
      toMs,
      state: cueState,
      lateS,
      mode: cueManner(item, context),
      ownWords: ownWordsOf(item, rig, context),
      exposed: exposed && cue.action === "filter-on",
      lookedThrough,
    };
  });
  const late = cues.filter((cue) => cue.state === "late");
  const { instruction, due } = instructionOf(cues, runNow);
  return {
    rig,
    filter: !filtered ? "none by design" : silent && verdict.state !== "off" ? "unknown" : verdict.state,
    verdict,
    silent,
    linked,
    noisy: presence.noisy?.includes(rig.id) ?? false,
    ...stateNow(record),
    help: record.help ?? null,
    times,
    allowance,
    exposed,
    practiceSafe,
    touchOnly,
    armed: record.armed ?? null,
    checks: record.checks,
    lastUtcMs: record.lastUtcMs,
    cues,
    cueNow: due ? instruction : null,
    cueNext: cues.find((cue) => cue.state === "next" || cue.state === "ahead") ?? null,
    latenessS: Math.max(0, ...late.map((cue) => cue.lateS)),
  };
}

/** A call to filters is told to rigs whose filter is known to be on for so long, ms. */
const CALL_TOLD_MS = 30_000;

/** From when on the filter has to go on whatever the cues say (S1, S6), run time ms; null where it has not. */
function closeFrom(site: SiteNow, exposed: boolean, filter: KnownFilter | null): number | null {
  const { runNow } = site;
  const saidMs = filter?.saidMs ?? Number.NEGATIVE_INFINITY;
  const called = standingSafeCall(site.run.calls);
  const calledMs = called ? called.atRunMs : null;
  if (filter?.state === "off") {
    const since = [
      ...(calledMs !== null && saidMs <= calledMs ? [calledMs] : []),
      ...(exposed ? [saidMs] : []),
    ];
    return since.length === 0 ? null : Math.min(runNow, ...since);
  }
  const told = called?.call === "sun returns" && calledMs !== null && saidMs < calledMs;
  return told && runNow <= calledMs + CALL_TOLD_MS ? Math.min(runNow, calledMs) : null;
}

const SUN_STEP_MS = 10 * 60_000;

/** When the Sun is next up, run time ms, to ten minutes on the early side; a day on where it is not. */
function sunUpFrom({ plan }: SiteState, runNow: number): number {
  const { site } = plan;
  if (!site) return runNow;
  for (let at = runNow; at < runNow + 86_400_000; at += SUN_STEP_MS)
    if (sunAt(utcMs(at + SUN_STEP_MS), site).up) return at;
  return runNow + 86_400_000;
}

/**
 * The verdict on the words of the run, less what is too old to be trusted, plus what a practice
 * said since. A word holds for WORD_HOLDS_MS, "off" until somebody says otherwise. What was said
 * in a practice changes nothing of the real filter (S8), but when it was said after the last real
 * word and differs from it, somebody has to look (S9).
 */
function standingVerdict(
  state: SiteState,
  run: RunRecord,
  rigId: string,
  record: RigRecord,
  now: UtcMs,
): FilterVerdict {
  const verdict = filterVerdict(record.filter);
  const { word } = verdict;
  if (!word || verdict.state === "unknown") return verdict;
  if (verdict.state !== "off" && now - word.observedUtcMs > WORD_HOLDS_MS)
    return { ...verdict, state: "unknown" };
  if (run.kind !== "real") return verdict;
  const since = Math.max(word.observedUtcMs, record.filter.looked?.observedUtcMs ?? 0);
  const practised = Object.values(state.runs)
    .filter((other) => other.kind === "practice")
    .flatMap((other) => filterVerdict(ownValue(other.rigs, rigId)?.filter ?? NO_FILTER_WORDS).word ?? [])
    .filter((other) => other.observedUtcMs > since && other.value !== verdict.state)
    .filter((other) => other.value === "on" || other.value === "off" || other.value === "capped");
  return practised.length === 0 ? verdict : { ...verdict, disputedBy: [...verdict.disputedBy, ...practised] };
}
