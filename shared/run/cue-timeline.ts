/**
 * A rig's cues as instants, and the state of each (SPEC R3).
 *
 *   ahead    not due yet, and another comes first
 *   next     the first that is not due yet
 *   now      within its window
 *   late     its window is over, it asks for a confirm and has none, and it still makes sense
 *   done     marked so
 *   skipped  marked so, or let pass without a mark
 *
 * Repeated cues become one instance each: "partial-before", "partial-before.2", ….
 * Filter-on, eyes-away and glasses-on hang on `filterC3`, never later than predicted; under
 * doubt they come earlier by the doubt (S5), but not before C2: a filter that was never to come
 * off needs no putting on. A filter-on cue always asks for a confirm. Filter-off cues never move
 * for doubt: they are withheld ("by eye only", doubt.ts).
 */
import { ownValue } from "../plan/own-key.ts";
import type { Cue, Rig } from "../plan/plan.ts";
import { isLookUp } from "../plan/safety/check-eye-cues.ts";
import { isFilterOff } from "../plan/safety/check-filter-cues.ts";
import { anchorMs, type EffectiveContacts } from "./effective-contacts.ts";
import type { RigRecord } from "./state.ts";

export interface CueInstance {
  id: string;
  cue: Cue;
  /** Which of a series, 1 for the first. */
  n: number;
  dueMs: number;
  /** Its window, run time ms. */
  fromMs: number;
  toMs: number;
}

export type CueState = "ahead" | "next" | "now" | "late" | "done" | "skipped";

export interface CueView extends CueInstance {
  state: CueState;
  /** Seconds past due, 0 when not late. */
  lateS: number;
}

const SAFE_ACTIONS = new Set<Cue["action"]>(["filter-on", "eyes-away", "glasses-on", "cap"]);
const MOST_REPEATS = 200;

/** The last timeline of each cue list: it is asked for many times a second and seldom changes. */
const lastOf = new WeakMap<Rig["cues"], { key: string; timeline: readonly CueInstance[] }>();

/** All instances of a rig's cues that are switched on and have their contact here, by time. */
export function cueTimeline(
  rig: Pick<Rig, "cues">,
  contacts: EffectiveContacts,
  doubtS = 0,
): readonly CueInstance[] {
  const key = JSON.stringify([contacts, doubtS]);
  const last = lastOf.get(rig.cues);
  if (last?.key === key) return last.timeline;
  const timeline = makeTimeline(rig, contacts, doubtS);
  lastOf.set(rig.cues, { key, timeline });
  return timeline;
}

function makeTimeline(rig: Pick<Rig, "cues">, contacts: EffectiveContacts, doubtS: number): CueInstance[] {
  const all: CueInstance[] = [];
  for (const cue of rig.cues) {
    if (!cue.on) continue;
    const due = dueMs(cue, contacts, doubtS);
    if (due === null) continue;
    all.push(instance(cue, 1, due));
    if (!cue.repeat) continue;
    const until = anchorMs(contacts, cue.repeat.until.anchor);
    if (until === null) continue;
    const end = until + cue.repeat.until.offsetS * 1000;
    for (let n = 2; n <= MOST_REPEATS; n++) {
      const at = due + (n - 1) * cue.repeat.everyS * 1000;
      if (at > end) break;
      all.push(instance(cue, n, at));
    }
  }
  return all.sort((a, b) => a.dueMs - b.dueMs || (a.id < b.id ? -1 : 1));
}

function dueMs(cue: Cue, contacts: EffectiveContacts, doubtS: number): number | null {
  const safe = SAFE_ACTIONS.has(cue.action) && cue.anchor === "C3";
  const anchor = safe ? contacts.filterC3 : anchorMs(contacts, cue.anchor);
  if (anchor === null) return null;
  const due = anchor + cue.offsetS * 1000;
  if (!safe || doubtS === 0) return due;
  return Math.min(due, Math.max(due - doubtS * 1000, contacts.c2 ?? Number.NEGATIVE_INFINITY));
}

function instance(cue: Cue, n: number, at: number): CueInstance {
  return {
    id: n === 1 ? cue.id : `${cue.id}.${n}`,
    cue: asItActs(cue),
    n,
    dueMs: at,
    fromMs: at + cue.earliestS * 1000,
    toMs: at + cue.latestS * 1000,
  };
}

/** A cue whose words take a filter off is a filter-off cue; a filter-on cue always asks. */
function asItActs(cue: Cue): Cue {
  if (isFilterOff(cue) && cue.action !== "filter-off") return { ...cue, action: "filter-off" };
  return cue.action === "filter-on" && !cue.confirm ? { ...cue, confirm: true } : cue;
}

/** The states of all instances at a run time, given what the rig has marked. */
export function cueViews(
  timeline: readonly CueInstance[],
  record: Pick<RigRecord, "cues">,
  atRunMs: number,
  contacts: EffectiveContacts,
): CueView[] {
  let nextFound = false;
  return timeline.map((item) => {
    const mark = ownValue(record.cues, item.id)?.value;
    let state: CueState;
    if (mark && mark !== "open") state = mark;
    else if (isPastTotality(item, atRunMs, contacts)) state = "skipped";
    else if (atRunMs < item.dueMs) {
      state = nextFound ? "ahead" : "next";
      nextFound = true;
    } else if (atRunMs <= item.toMs) state = "now";
    else state = item.cue.confirm && !overtaken(item, atRunMs, contacts) ? "late" : "skipped";
    return { ...item, state, lateS: state === "late" ? (atRunMs - item.dueMs) / 1000 : 0 };
  });
}

/**
 * "Filter off" and "look up" make sense in totality alone: where it has ended, or ends before
 * they come due (the Sun was called back early), they are let go.
 */
function isPastTotality(
  { cue, dueMs }: CueInstance,
  atRunMs: number,
  { filterC3 }: EffectiveContacts,
): boolean {
  if (!isFilterOff(cue) && !isLookUp(cue)) return false;
  return filterC3 !== null && Math.max(atRunMs, dueMs) >= filterC3;
}

/** Filter-on does not go stale before C4. */
function overtaken(item: CueInstance, atRunMs: number, contacts: EffectiveContacts): boolean {
  if (item.cue.action === "filter-on") return contacts.c4 !== null && atRunMs > contacts.c4;
  // Until C3, from which on isPastTotality lets it go.
  if (item.cue.action === "filter-off") return false;
  return atRunMs > item.toMs + STALE_S * 1000;
}

/** After this long a cue that is not about the filter is let go. Common practice, no source. */
const STALE_S = 120;

/** Whether an id names an instance of the rig's cues, switched on or not. */
export function knowsCue(rig: Pick<Rig, "cues">, id: string): Cue | undefined {
  const base = id.replace(/\.\d+$/, "");
  return rig.cues.find((cue) => cue.id === id) ?? rig.cues.find((cue) => cue.id === base);
}
