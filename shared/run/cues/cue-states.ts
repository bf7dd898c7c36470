/**
 * The state of each of a rig's cues at a run time (SPEC R3).
 *
 *   ahead    not due yet, and another comes first
 *   next     the first that is not due yet
 *   now      within its window
 *   late     its window is over, it waits for its confirm, and it still makes sense
 *   done     marked so
 *   skipped  marked so, or let pass without a mark
 *
 * Filter-on and eyes-away hang on what is known of the filter, not on marks alone (S9): while the
 * filter is off they are ahead, now or late, whatever was marked. While it is known to be on, a
 * word from after it was to come off settles them; an older one does not, since a filter may
 * have come off without a word: then they are shown in their window, and are over with it.
 */
import { ownValue } from "../../fields/own-key.ts";
import type { Rig } from "../../plan/model/plan.ts";
import { EYES_DOWN_S } from "../../plan/safety/allowance.ts";
import { earliest, later, latest, type RunMs } from "../../time/instants.ts";
import type { EffectiveContacts } from "../effective-contacts.ts";
import type { RigRecord } from "../state.ts";
import type { FilterWord } from "../vocabulary.ts";
import { isFilterOff, isLookUp } from "./cue-kinds.ts";
import { byTime, type CueInstance } from "./cue-timeline.ts";
import type { RigTimes } from "./rig-times.ts";

export type CueState = "ahead" | "next" | "now" | "late" | "done" | "skipped";

export interface CueStanding extends CueInstance {
  state: CueState;
  /** Seconds past due, 0 when not late. */
  lateS: number;
}

/** What is known of a rig's filter; null where it has none by design. */
export interface KnownFilter {
  state: FilterWord;
  /** When the word that decided was said, run time ms; null when nobody has spoken. */
  saidMs: RunMs | null;
}

export interface StateContext {
  marks: RigRecord["cues"];
  /** Run time at which a mark was made. */
  markedAtMs: (mark: RigRecord["cues"][string]) => RunMs;
  runNow: RunMs;
  contacts: EffectiveContacts;
  times: RigTimes;
  filter: KnownFilter | null;
  /** Without one by design, who has taken its cap off says nothing of it. */
  filtered: boolean;
  lookedThrough: boolean;
  /** S8: filter cues are touched only. */
  touchOnly: boolean;
  /**
   * From when on the filter has to go on whatever the cues say, run time ms: the photosphere is
   * on the optics (S1), or the lead has called everybody to filters (S6). Null where it has not.
   */
  closeFromMs: RunMs | null;
  /** At run time. */
  sunUp: boolean;
  /** When the Sun is next up, run time ms: until then an open filter harms nobody. */
  sunUpFromMs: () => RunMs;
}

/** How long before a filter-off cue is due its filter's word counts as the cue done, ms. */
const EARLY_WORD_MS = 120_000;
/** After this long a cue that is not about the filter is let go. Common practice, no source. */
const STALE_S = 120;
/** What makes safe waits for its confirm while the Sun is up, but not into the next day, ms. Common practice, no source. */
const SAME_DAY_MS = 12 * 3_600_000;
/** S12: what was to be capped around totality still has to be until so long after C3, ms. */
const CAPPED_AFTER_MS = 60_000;

export function cueStates(timeline: readonly CueInstance[], context: StateContext): CueStanding[] {
  const items = withMissing(pulled(timeline, context), context);
  let nextFound = false;
  return items.map((item) => {
    let state = stateOf(item, items, context);
    if (state === "ahead" && !nextFound) {
      state = "next";
      nextFound = true;
    }
    // Field by field: this is made for every cue of every rig at every look.
    const { id, cue, n, dueMs, fromMs, toMs } = item;
    const lateS = state === "late" ? (context.runNow - dueMs) / 1000 : 0;
    return { id, cue, n, dueMs, fromMs, toMs, state, lateS };
  });
}

function stateOf(item: CueInstance, all: readonly CueInstance[], context: StateContext): CueState {
  const { cue } = item;
  if (isFilterOff(cue)) return filterOffState(item, context);
  if (cue.action === "filter-on") return filterOnState(item, all, context);
  if (cue.action === "eyes-away") return eyesAwayState(item, all, context);
  if (isLookUp(cue) && !inLookUpTime(item.dueMs, context)) return marked(item, context) ?? "skipped";
  if (isLookUp(cue) && context.runNow >= item.dueMs && !inLookUpTime(context.runNow, context))
    return marked(item, context) ?? "skipped";
  if (cue.action === "cap" && isCapped(item, context)) return "done";
  const mark = marked(item, context);
  if (mark) return mark;
  const byTime = stateByTime(item, context.runNow);
  if (byTime !== "late") return byTime;
  // As a filter that is known to be on: shown in its window, and over with it.
  if (cue.action === "cap" && context.filtered && context.filter?.state === "capped") return "done";
  return cue.confirm && !isStale(item, context) ? "late" : "skipped";
}

function stateByTime({ dueMs, toMs }: CueInstance, runNow: RunMs): "ahead" | "now" | "late" {
  if (runNow < dueMs) return "ahead";
  return runNow <= toMs ? "now" : "late";
}

function marked(item: CueInstance, { marks }: StateContext): "done" | "skipped" | null {
  const mark = ownValue(marks, item.id)?.value;
  return mark && mark !== "open" ? mark : null;
}

function filterOffState(item: CueInstance, context: StateContext): CueState {
  const { filter, runNow, contacts, times } = context;
  const mark = marked(item, context);
  if (mark) return mark;
  // Not by its own time alone: one that a shift or a late call puts later is not to be done again.
  const expectedMs = earliest(item.dueMs, contacts.predicted.c2 ?? item.dueMs);
  if (
    filter?.state === "off" &&
    (filter.saidMs ?? 0) >= expectedMs - EARLY_WORD_MS &&
    !isOpenMark(item, context)
  )
    return "done";
  // Until whoever opens now could be sure of totality, S11 says what is too late (manner.ts).
  const endMs = times.seenMs === null ? contacts.filterC3 : times.safeC3;
  if (endMs !== null && Math.max(runNow, item.dueMs) >= endMs) return "skipped";
  const byTime = stateByTime(item, runNow);
  return byTime === "late" && !item.cue.confirm ? "skipped" : byTime;
}

/** The mark was taken back by hand: the word alone does not set it again. */
function isOpenMark(item: CueInstance, { marks }: StateContext): boolean {
  return ownValue(marks, item.id)?.value === "open";
}

function filterOnState(item: CueInstance, all: readonly CueInstance[], context: StateContext): CueState {
  const { filter, runNow } = context;
  const mark = marked(item, context);
  const byTime = stateByTime(item, runNow);
  if (filter?.state === "off") return waitedFor(item, all, filter.saidMs) ? byTime : (mark ?? "skipped");
  if (filter === null || context.touchOnly) return mark ?? goesStale(byTime, context);
  if (filter.state === "unknown") return goesStale(byTime, context);
  const openedMs = opensMs(item, all, context);
  if (openedMs !== null && (filter.saidMs ?? Number.NEGATIVE_INFINITY) >= openedMs) return "done";
  const made = ownValue(context.marks, item.id);
  if (mark && made && context.markedAtMs(made) >= Math.min(openedMs ?? item.fromMs, item.fromMs)) return mark;
  return byTime === "late" ? "done" : byTime;
}

/** Of several ways back on the one that comes after the filter went off is meant, else the last. */
function waitedFor(item: CueInstance, all: readonly CueInstance[], offSaidMs: RunMs | null): boolean {
  const after = all.filter(({ cue, dueMs }) => cue.action === item.cue.action && dueMs > item.dueMs);
  return after.length === 0 || item.toMs >= (offSaidMs ?? Number.NEGATIVE_INFINITY);
}

/** Filter-on does not go stale before C4, nor while the Sun is up after it. */
function goesStale(byTime: CueState, context: StateContext): CueState {
  const c4 = lastMs(context.contacts, "c4");
  const over = byTime === "late" && c4 !== null && context.runNow > c4;
  return over && !inSunlightSince(c4, context) ? "skipped" : byTime;
}

function inSunlightSince(fromMs: RunMs, { sunUp, runNow }: StateContext): boolean {
  return sunUp && runNow <= later(fromMs, SAME_DAY_MS);
}

/** When the filter was to come off before this cue, run time ms, but not before C2; null without C2. */
function opensMs(
  item: CueInstance,
  all: readonly CueInstance[],
  { times, contacts }: StateContext,
): RunMs | null {
  const c2 = times.c2 ?? contacts.c2;
  if (c2 === null) return null;
  const before = all.filter(({ cue, dueMs }) => isFilterOff(cue) && dueMs <= item.dueMs);
  return latest(c2, ...before.map(({ dueMs }) => dueMs));
}

function eyesAwayState(item: CueInstance, all: readonly CueInstance[], context: StateContext): CueState {
  const { filter, runNow } = context;
  const byTime = stateByTime(item, runNow);
  if (context.lookedThrough && filter?.state === "off" && waitedFor(item, all, filter.saidMs)) return byTime;
  const mark = marked(item, context);
  if (mark) return mark;
  const openedMs = opensMs(item, all, context);
  const closed = filter?.state === "on" || filter?.state === "capped";
  if (closed && openedMs !== null && (filter.saidMs ?? Number.NEGATIVE_INFINITY) >= openedMs) return "done";
  return byTime === "late" ? "skipped" : byTime;
}

/** S13: "look up" only in totality as it stands now, and not once glasses have been called on. */
function inLookUpTime(atMs: RunMs, { times }: StateContext): boolean {
  if (times.c2 === null || times.safeC3 === null) return false;
  return atMs >= times.c2 && atMs <= times.safeC3 + EYES_DOWN_S * 1000;
}

function isCapped(item: CueInstance, { filter }: StateContext): boolean {
  return filter?.state === "capped" && (filter.saidMs ?? Number.NEGATIVE_INFINITY) >= item.fromMs;
}

/**
 * S12: a cap that belongs around totality does not go stale before it is over, and any other (before
 * the people leave, at the end) not while the Sun is up.
 */
function isStale({ cue, toMs }: CueInstance, context: StateContext): boolean {
  const { contacts, runNow } = context;
  if (runNow <= later(toMs, STALE_S * 1000)) return false;
  if (cue.action !== "cap") return true;
  if (cue.anchor !== "C2") return !inSunlightSince(toMs, context);
  const end = lastMs(contacts, "c3") ?? lastMs(contacts, "c4");
  return end === null || runNow > later(end, CAPPED_AFTER_MS);
}

/** A contact, or the predicted one where that is later: no shift lets go of what makes safe. */
function lastMs(contacts: EffectiveContacts, name: "c3" | "c4"): RunMs | null {
  const effective = contacts[name];
  const predicted = contacts.predicted[name];
  return effective === null || predicted === null ? effective : latest(effective, predicted);
}

/** The filter-on and eyes-away cues that are waited for come when they have to. */
function pulled(timeline: readonly CueInstance[], context: StateContext): readonly CueInstance[] {
  const { closeFromMs, runNow } = context;
  if (closeFromMs === null) return timeline;
  // Where one is due already it is that one, by its own time.
  const next = (action: "filter-on" | "eyes-away"): CueInstance | undefined => {
    const all = timeline.filter(({ cue }) => cue.action === action);
    const due = all.some(({ dueMs }) => dueMs <= runNow && dueMs >= closeFromMs);
    return due ? undefined : all.find(({ dueMs }) => dueMs > closeFromMs && dueMs > runNow);
  };
  const first = next("filter-on");
  const away = next("eyes-away");
  if (!first && !away) return timeline;
  return timeline
    .map((item) => (item === first || item === away ? at(item, closeFromMs) : item))
    .sort(byTime);
}

function at(item: CueInstance, dueMs: RunMs): CueInstance {
  return {
    ...item,
    dueMs,
    fromMs: earliest(item.fromMs, dueMs),
    toMs: later(dueMs, item.cue.latestS * 1000),
  };
}

/**
 * S9: an open filter whose list knows no way back (the site is partial, the cue was switched off,
 * the list was changed) gets one, and open optics that are looked through get their eyes-away.
 */
function withMissing(timeline: readonly CueInstance[], context: StateContext): readonly CueInstance[] {
  if (context.filter?.state !== "off") return timeline;
  const wanted = context.lookedThrough ? (["filter-on", "eyes-away"] as const) : (["filter-on"] as const);
  const missing = wanted.filter((action) => !timeline.some(({ cue }) => cue.action === action));
  if (missing.length === 0) return timeline;
  // Only now: with the Sun down this searches the hours ahead.
  const dueMs = context.closeFromMs ?? context.sunUpFromMs();
  return [...timeline, ...missing.map((action) => unlisted(action, dueMs, timeline))].sort(byTime);
}

const UNLISTED = {
  "filter-on": { confirm: true, latestS: 10 },
  "eyes-away": { confirm: false, latestS: 5 },
} as const;

function unlisted(
  action: "filter-on" | "eyes-away",
  dueMs: RunMs,
  timeline: readonly CueInstance[],
): CueInstance {
  const id = timeline.some((item) => item.id === action) ? `${action}-now` : action;
  const { confirm, latestS } = UNLISTED[action];
  const cue: Rig["cues"][number] = {
    id,
    key: `cue.${action}`,
    anchor: "max",
    offsetS: 0,
    action,
    say: null,
    on: true,
    confirm,
    earliestS: 0,
    latestS,
    countInS: 0,
    handsS: 6,
    repeat: null,
  };
  return { id, cue, n: 1, dueMs, fromMs: dueMs, toMs: later(dueMs, latestS * 1000) };
}
