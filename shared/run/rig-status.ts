/**
 * What is known of each rig now, for rig pages, the array and GET /api/run alike.
 *
 * In a practice run the words of the real run and of the practice are taken together, newest
 * first; when the practice ends its words are gone and the real run's stand alone (S8).
 * A rig nobody has heard of for SILENT_MS has an unknown filter.
 */

import { ownValue } from "../plan/own-key.ts";
import type { Rig } from "../plan/plan.ts";
import { isFilterAction } from "../plan/vocabulary.ts";
import { whatSiteGets } from "../plan/what-site-gets.ts";
import type { RunMs, UtcMs } from "../time/instants.ts";
import { type CueInstance, type CueView, cueTimeline, cueViews } from "./cue-timeline.ts";
import { type ClockHealth, type Doubt, doubtAt, mayHaveSeen } from "./doubt.ts";
import { contactsOf, type EffectiveContacts } from "./effective-contacts.ts";
import type { PracticeStarted } from "./events.ts";
import {
  type FilterState,
  type FilterVerdict,
  filterVerdict,
  mergeFilterWords,
  NO_FILTER_WORDS,
} from "./filter-state.ts";
import { newest, type Register } from "./registers.ts";
import { currentRun, practiceAt, runTime } from "./run-time.ts";
import { type CueMark, NO_RECORD, type RigRecord, type RunRecord, type SiteState } from "./state.ts";
import type { Sky } from "./vocabulary.ts";

/** What the hub knows of who is connected; never logged. */
export interface Presence {
  /** By rig: the devices linked now. */
  rigs: Readonly<Record<string, readonly LinkedDevice[]>>;
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

export interface RigStatus {
  rig: Rig;
  filter: FilterState;
  /** What was last said, where silence has made it unknown or devices disagree. */
  verdict: FilterVerdict;
  silent: boolean;
  linked: readonly LinkedDevice[];
  cardFreeGB: number | null;
  batteryPct: number | null;
  tracking: boolean | null;
  focused: boolean | null;
  recording: boolean | null;
  sky: Sky | null;
  help: Register<boolean> | null;
  sawTotality: boolean;
  /** S8: really capped or pointed away for this practice run. */
  practiceSafe: boolean;
  armed: RigRecord["armed"] | null;
  checks: RigRecord["checks"];
  lastUtcMs: UtcMs | null;
  cues: CueView[];
  /**
   * The cue that matters now: a filter cue that waits for its confirm, whatever came due after it,
   * else the one due, else the latest that is late (SPEC R15).
   */
  cueNow: CueView | null;
  cueNext: CueView | null;
  /** Seconds late of the latest cue, 0 when none is. */
  latenessS: number;
}

export interface RunView {
  run: RunRecord;
  contacts: EffectiveContacts;
  runNow: RunMs;
  doubt: Doubt;
  rigs: RigStatus[];
}

/** The record of a rig in the run that is on. */
export function recordOf(state: SiteState, run: RunRecord, rigId: string): RigRecord {
  const own = ownValue(run.rigs, rigId) ?? NO_RECORD;
  if (run.kind === "real") return own;
  const real = ownValue(state.runs[state.realRunId]?.rigs ?? {}, rigId) ?? NO_RECORD;
  const both = <Value>(a: Register<Value> | undefined, b: Register<Value> | undefined) => newest(a, b);
  return stripped({
    filter: mergeFilterWords(real.filter, own.filter),
    cardFreeGB: both(real.cardFreeGB, own.cardFreeGB),
    batteryPct: both(real.batteryPct, own.batteryPct),
    tracking: both(real.tracking, own.tracking),
    focused: both(real.focused, own.focused),
    recording: both(real.recording, own.recording),
    sky: both(real.sky, own.sky),
    help: both(real.help, own.help),
    armed: both(real.armed, own.armed),
    sawTotality: own.sawTotality,
    practiceSafe: own.practiceSafe,
    checks: { ...real.checks, ...own.checks },
    cues: own.cues,
    lastUtcMs: (Math.max(real.lastUtcMs ?? 0, own.lastUtcMs ?? 0) || null) as UtcMs | null,
  });
}

/** Everything about the run that is on at an instant. */
export function viewRun(state: SiteState, presence: Presence, clock: ClockHealth, now: UtcMs): RunView {
  const run = currentRun(state, now);
  const contacts = contactsOf(state, run);
  const runNow = runTime(practiceAt(state, now), now);
  const doubt = doubtAt(state, run, clock, now, contacts);
  const rigs = state.plan.rigs.map((rig) =>
    rigStatus(state, run, rig, ownValue(presence.rigs, rig.id) ?? [], contacts, doubt, runNow, now),
  );
  return { run, contacts, runNow, doubt, rigs };
}

export function rigStatus(
  state: SiteState,
  run: RunRecord,
  rig: Rig,
  linked: readonly LinkedDevice[],
  contacts: EffectiveContacts,
  doubt: Doubt,
  runNow: RunMs,
  now: UtcMs,
): RigStatus {
  const record = recordOf(state, run, rig.id);
  const verdict = standingVerdict(state, run, rig.id, record, now);
  const silent = linked.length === 0 && (record.lastUtcMs === null || now - record.lastUtcMs > SILENT_MS);
  const practice = practiceAt(state, now);
  const timeline = cueTimeline(rig, contacts, doubt.byS);
  const marks = marksWithFilterWord(timeline, record, verdict, contacts, practice);
  const cues = cueViews(timeline, { cues: marks }, runNow, contacts);
  const late = cues.filter((cue) => cue.state === "late");
  const ahead = cues.filter((cue) => cue.state === "next" || cue.state === "ahead");
  return {
    rig,
    filter:
      rig.filter === "none by design"
        ? "none by design"
        : silent && verdict.state !== "off"
          ? "unknown"
          : verdict.state,
    verdict,
    silent,
    linked,
    cardFreeGB: record.cardFreeGB?.value ?? null,
    batteryPct: record.batteryPct?.value ?? null,
    tracking: record.tracking?.value ?? null,
    focused: record.focused?.value ?? null,
    recording: record.recording?.value ?? null,
    sky: record.sky?.value ?? null,
    help: record.help ?? null,
    sawTotality:
      record.sawTotality?.value === true &&
      mayHaveSeen(contacts.filterC2, doubt, runTime(practice, record.sawTotality.observedUtcMs)),
    practiceSafe: record.practiceSafe?.value ?? false,
    armed: record.armed ?? null,
    checks: record.checks,
    lastUtcMs: record.lastUtcMs,
    cues,
    cueNow: cueOfNow(cues),
    cueNext: ahead[0] ?? null,
    latenessS: Math.max(0, ...late.map((cue) => cue.lateS)),
  };
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

/** R15: what a rig has to do now. A filter cue is over when it is done or when the opposite one comes. */
function cueOfNow(cues: readonly CueView[]): CueView | null {
  const aboutFilter = ({ cue }: CueView) => isFilterAction(cue.action);
  const filterCue = cues.findLast((cue) => aboutFilter(cue) && cue.state !== "ahead" && cue.state !== "next");
  const open = cues.filter(
    (cue) => (cue.state === "now" || cue.state === "late") && (cue === filterCue || !aboutFilter(cue)),
  );
  return (
    open.find((cue) => cue === filterCue && cue.cue.confirm) ??
    open.findLast((cue) => cue.state === "now") ??
    open.at(-1) ??
    null
  );
}

/** How long before a filter cue is due its filter's word counts as the cue done, ms. */
const EARLY_WORD_MS = 120_000;

/**
 * A filter cue is done when the filter is known to be so since about the cue's time, whether or
 * not the operator confirmed the cue itself. "On" counts for a filter-on cue only when it was
 * said after the filter was to come off and after C2: before that it says nothing of the way back.
 */
function marksWithFilterWord(
  timeline: readonly CueInstance[],
  record: RigRecord,
  { state, word }: FilterVerdict,
  contacts: EffectiveContacts,
  practice: PracticeStarted | null,
): RigRecord["cues"] {
  if (!word) return record.cues;
  const saidMs = runTime(practice, word.observedUtcMs);
  const cues: Record<string, Register<CueMark>> = { ...record.cues };
  let offMs = contacts.c2 ?? Number.NEGATIVE_INFINITY;
  for (const { id, cue, dueMs } of timeline) {
    if (cue.action === "filter-off") offMs = Math.max(offMs, dueMs);
    const fits =
      (cue.action === "filter-off" && state === "off") ||
      (cue.action === "filter-on" && (state === "on" || state === "capped") && saidMs >= offMs);
    if (fits && !ownValue(cues, id) && saidMs >= dueMs - EARLY_WORD_MS) cues[id] = { ...word, value: "done" };
  }
  return cues;
}

/** Whether this site ever has a moment without filters. */
export function everUnfiltered(state: SiteState): boolean {
  return whatSiteGets(state.circumstances).kind === "total";
}

function stripped(record: { [K in keyof RigRecord]: RigRecord[K] | undefined }): RigRecord {
  return Object.fromEntries(
    Object.entries(record).filter(([, value]) => value !== undefined),
  ) as unknown as RigRecord;
}
