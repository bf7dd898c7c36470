/**
 * When the cues of a plan come: an anchor is a contact, a cue is a contact plus an offset.
 * Works on any set of contacts, predicted or effective.
 */
import type { ContactName, MomentName } from "../eclipse/circumstances-types.ts";
import { type Instant, later } from "../time/instants.ts";
import type { Cue } from "./model/cue.ts";
import { ANCHORS, type CueAnchor } from "./model/vocabulary.ts";

/** Contacts are C1 … C4 to people and c1 … c4 in a record; all other names are the same. */
function recordKey(anchor: CueAnchor): ContactName | MomentName {
  return anchor.replace(/^C/, "c") as ContactName | MomentName;
}

/** Contacts in ms on one scale (UTC or run time); null where the place has none. */
export type AnchorTimes<At extends Instant = Instant> = Readonly<Record<ContactName, At | null>> &
  Readonly<Partial<Record<MomentName, At | null>>>;

/**
 * A cue comes at most so often, and the cues of one rig in all: more than anybody can follow. A
 * plan that would need more is refused at save (check-repeats.ts). One that was saved before still
 * loads: each of its cues ends at OCCURRENCES_MOST, as does a repeat that a shift of a contact or
 * a late moment of the place has made longer since.
 */
export const OCCURRENCES_MOST = 200;
export const RIG_OCCURRENCES_MOST = 1000;

/**
 * Whether all times of a cue hang on contacts. The moments of the place (skyline, beads, horizon) move by
 * themselves and may be unknown when a plan is checked, so nothing that a rule times may hang on
 * them.
 */
export function hangsOnContacts(cue: Pick<Cue, "anchor" | "repeat">): boolean {
  return !isMoment(cue.anchor) && (cue.repeat === null || !isMoment(cue.repeat.until.anchor));
}

function isMoment(anchor: CueAnchor): boolean {
  const contacts: readonly string[] = ANCHORS;
  return !contacts.includes(anchor);
}

/** Contact plus offset in ms, or null when this place has no such contact. */
export function anchoredMs<At extends Instant>(
  times: AnchorTimes<At>,
  anchor: CueAnchor,
  offsetS: number,
): At | null {
  const contactMs = times[recordKey(anchor)] ?? null;
  return contactMs === null ? null : later(contactMs, offsetS * 1000);
}

/** When a cue comes (first), ms; null when this place has no such contact. */
export function cueDueMs<At extends Instant>(
  cue: Pick<Cue, "anchor" | "offsetS">,
  times: AnchorTimes<At>,
): At | null {
  return anchoredMs(times, cue.anchor, cue.offsetS);
}

/**
 * Every time a cue comes, ms, in order; empty when this place has no such contact. The one
 * expansion of repeats: the run asks `occurrencesFromMs` with the same arguments but its own first
 * instant (S5 brings some cues forward).
 */
export function cueOccurrencesMs<At extends Instant>(
  cue: Pick<Cue, "anchor" | "offsetS" | "repeat">,
  times: AnchorTimes<At>,
): At[] {
  const firstMs = cueDueMs(cue, times);
  return firstMs === null ? [] : occurrencesFromMs(cue, firstMs, times);
}

/**
 * Every time of a cue that comes first at `firstMs`. A repeat ends at its `until`, included, or
 * after OCCURRENCES_MOST; one whose `until` has no contact here does not repeat.
 */
export function occurrencesFromMs<At extends Instant>(
  cue: Pick<Cue, "repeat">,
  firstMs: At,
  times: AnchorTimes<At>,
): At[] {
  const all = [firstMs];
  if (cue.repeat === null) return all;
  const { everyS, until } = cue.repeat;
  const untilMs = anchoredMs(times, until.anchor, until.offsetS) ?? firstMs;
  for (let i = 1; i < OCCURRENCES_MOST && firstMs + i * everyS * 1000 <= untilMs; i++)
    all.push(later(firstMs, i * everyS * 1000));
  return all;
}

/**
 * A moment of the place lies within so much of C1 and C4, ms: the skyline is followed so far. Sunrise is
 * looked for from 1.5 h before C1 on.
 */
const MOMENT_REACH_MS = 30 * 60_000;
const SUNRISE_REACH_MS = 90 * 60_000;

/**
 * How often a cue would come if nothing bounded it. A beginning or an end that hangs on a moment
 * (skyline, beads) which nobody knows when a plan is checked counts in the worst case: as early,
 * or as late, as such a moment can be.
 */
export function occurrencesWanted(
  cue: Pick<Cue, "anchor" | "offsetS" | "repeat">,
  times: AnchorTimes,
): number {
  const worstMs = (anchor: CueAnchor, offsetS: number, edgeMs: number | null): number | null =>
    anchoredMs(times, anchor, offsetS) ??
    (isMoment(anchor) && edgeMs !== null ? edgeMs + offsetS * 1000 : null);
  const reachMs = cue.anchor === "sunrise" ? SUNRISE_REACH_MS : MOMENT_REACH_MS;
  const firstMs = worstMs(cue.anchor, cue.offsetS, times.c1 === null ? null : times.c1 - reachMs);
  if (firstMs === null) return 0;
  if (cue.repeat === null) return 1;
  const { everyS, until } = cue.repeat;
  const untilMs = worstMs(until.anchor, until.offsetS, times.c4 === null ? null : times.c4 + MOMENT_REACH_MS);
  return untilMs === null ? 1 : wantedCount(firstMs, untilMs, everyS);
}

function wantedCount(firstMs: number, untilMs: number, everyS: number): number {
  return everyS <= 0 ? 1 : Math.max(0, Math.floor((untilMs - firstMs) / (everyS * 1000))) + 1;
}
