/**
 * A rig's cues as instants (SPEC R3). Repeated cues become one instance each: "partial-before",
 * "partial-before.2", ….
 *
 * Whatever makes things safe (cues/cue-kinds.ts) is never later than predicted, whatever was
 * shifted, and comes earlier by the doubt (S5), but not before its rig's filter was to come off: a
 * filter that was never to come off needs no putting on. A filter-on cue always asks for a
 * confirm. What uncaps comes later by the doubt, and never earlier than predicted. Filter-off cues
 * never move for doubt, they are withheld (cues/manner.ts); what the eye saw brings them forward (S15).
 */
import { anchoredMs, occurrencesFromMs } from "../../plan/cue-times.ts";
import { rigInVariant } from "../../plan/edits/variant-cues.ts";
import type { Cue } from "../../plan/model/cue.ts";
import type { Rig } from "../../plan/model/plan.ts";
import { earliest, later, latest, type RunMs } from "../../time/instants.ts";
import { anchorMs, type EffectiveContacts } from "../effective-contacts.ts";
import { SKIES } from "../vocabulary.ts";
import { isFilterOff, isLookUp, makesSafeCue, uncaps } from "./cue-kinds.ts";
import { type RigTimes, timesByTheClock } from "./rig-times.ts";

export interface CueInstance {
  id: string;
  cue: Cue;
  /** Which of a series, 1 for the first. */
  n: number;
  dueMs: RunMs;
  /** Its window, run time ms. */
  fromMs: RunMs;
  toMs: RunMs;
}

/** The last timeline of each cue list: it is asked for many times a second and seldom changes. */
const lastOf = new WeakMap<
  Rig["cues"],
  { contacts: EffectiveContacts; times: RigTimes; timeline: readonly CueInstance[] }
>();

/** All instances of a rig's cues that are switched on and have their contact here, by time. */
export function cueTimeline(
  rig: Pick<Rig, "cues">,
  contacts: EffectiveContacts,
  times: RigTimes = timesByTheClock(contacts),
): readonly CueInstance[] {
  const last = lastOf.get(rig.cues);
  if (last && sameContacts(last.contacts, contacts) && sameFields(last.times, times)) return last.timeline;
  const timeline = makeTimeline(rig, contacts, times);
  lastOf.set(rig.cues, { contacts, times, timeline });
  return timeline;
}

function sameContacts(a: EffectiveContacts, b: EffectiveContacts): boolean {
  return a === b || (sameFields(a.predicted, b.predicted) && sameFields(a, b, "predicted"));
}

/** Of two objects of one kind. */
function sameFields<Kind extends object>(a: Kind, b: Kind, except?: keyof Kind): boolean {
  for (const name in a) if (name !== except && a[name] !== b[name]) return false;
  for (const name in b) if (name !== except && !(name in a) && b[name] !== undefined) return false;
  return true;
}

function makeTimeline(rig: Pick<Rig, "cues">, contacts: EffectiveContacts, times: RigTimes): CueInstance[] {
  const all: CueInstance[] = [];
  const opensMs = latest(
    ...(times.c2 === null ? [] : [times.c2]),
    ...rig.cues
      .filter((cue) => cue.on && isFilterOff(cue))
      .flatMap((cue) => offMs(cue, contacts, { ...times, eyeAlone: false }) ?? []),
  );
  for (const cue of rig.cues) {
    if (!cue.on) continue;
    const due = dueMs(cue, contacts, times, opensMs);
    if (due === null) continue;
    for (const [i, at] of occurrencesFromMs(cue, due, contacts).entries()) all.push(instance(cue, i + 1, at));
  }
  return all.sort(byTime);
}

/** By when they are due; of one instant by name, so that every device has one order. */
export function byTime(a: CueInstance, b: CueInstance): number {
  return a.dueMs - b.dueMs || (a.id < b.id ? -1 : 1);
}

function dueMs(cue: Cue, contacts: EffectiveContacts, times: RigTimes, opensMs: RunMs): RunMs | null {
  if (isFilterOff(cue)) return offMs(cue, contacts, times);
  if (uncaps(cue)) {
    const at = neverEarlier(contacts, cue.anchor);
    return at === null ? null : later(at, (cue.offsetS + times.earlierS) * 1000);
  }
  if (isLookUp(cue)) return lookUpMs(cue, contacts, times);
  if (!makesSafeCue(cue)) return anchoredMs(contacts, cue.anchor, cue.offsetS);
  const anchor = neverLater(contacts, cue.anchor);
  if (anchor === null) return null;
  const due = later(anchor, cue.offsetS * 1000);
  if (times.earlierS === 0) return due;
  const early = later(due, -times.earlierS * 1000);
  if (cue.anchor === "C3") return earliest(due, latest(early, opensMs));
  return cue.anchor === "C4" ? earliest(due, latest(early, contacts.filterC3 ?? early)) : early;
}

/**
 * The eye has the last word (S15): what was seen moves a filter-off cue, never later; where the
 * prediction was revised of late it alone does, so that no shift brings one on (S6).
 */
function offMs(cue: Cue, contacts: EffectiveContacts, { seenMs, eyeAlone }: RigTimes): RunMs | null {
  // Not on a C2 that was called and has been ended since, nor on one shifted beyond trust.
  const due = anchoredMs({ ...contacts, c2: contacts.filterC2 }, cue.anchor, cue.offsetS);
  if (due === null || seenMs === null) return due;
  const byEye = later(seenMs, Math.max(0, cue.offsetS) * 1000);
  // One of before C2 is due by then, whatever was shifted.
  return eyeAlone && cue.offsetS > 0 ? byEye : earliest(due, byEye);
}

/**
 * "Look up" hangs on what no shift moves (S6, S13): at the beginning of totality on the eye that
 * saw it, else on the prediction.
 */
function lookUpMs(cue: Cue, contacts: EffectiveContacts, { seenMs }: RigTimes): RunMs | null {
  if (cue.anchor === "C2" && seenMs !== null) return later(seenMs, cue.offsetS * 1000);
  return anchoredMs({ ...contacts, ...contacts.predicted }, cue.anchor, cue.offsetS);
}

/** The instant of an anchor, or the predicted one where that is earlier. */
function neverLater(contacts: EffectiveContacts, anchor: Cue["anchor"]): RunMs | null {
  const effective = anchor === "C3" ? contacts.filterC3 : anchorMs(contacts, anchor);
  if (effective === null) return null;
  const predicted = anchoredMs(contacts.predicted, anchor, 0);
  return predicted === null ? effective : earliest(effective, predicted);
}

/** The instant of an anchor, or the predicted one where that is later. */
function neverEarlier(contacts: EffectiveContacts, anchor: Cue["anchor"]): RunMs | null {
  const effective = anchorMs(contacts, anchor);
  const predicted = anchoredMs(contacts.predicted, anchor, 0);
  return effective === null || predicted === null ? effective : latest(effective, predicted);
}

function instance(cue: Cue, n: number, at: RunMs): CueInstance {
  return {
    id: n === 1 ? cue.id : `${cue.id}.${n}`,
    cue: asItActs(cue),
    n,
    dueMs: at,
    fromMs: later(at, cue.earliestS * 1000),
    toMs: later(at, cue.latestS * 1000),
  };
}

/** A cue whose words take a filter off is a filter-off cue; a filter-on cue always asks. */
function asItActs(cue: Cue): Cue {
  if (isFilterOff(cue) && cue.action !== "filter-off") return { ...cue, action: "filter-off" };
  return cue.action === "filter-on" && !cue.confirm ? { ...cue, confirm: true } : cue;
}

/** What an id names of the rig's cues, switched on or not, in whatever variant: in the one in force first. */
export function knowsCue(rig: Rig, id: string, inForce: (typeof SKIES)[number] = "clear"): Cue | undefined {
  const base = id.replace(/\.\d+$/, "");
  for (const variant of [inForce, ...SKIES]) {
    const { cues } = rigInVariant(rig, variant);
    const found = cues.find((cue) => cue.id === id) ?? cues.find((cue) => cue.id === base);
    if (found) return found;
  }
  return undefined;
}
