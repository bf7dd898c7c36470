/**
 * When the cues of a plan come: an anchor is a contact, a cue is a contact plus an offset.
 * Works on any set of contacts, predicted or effective.
 */
import type { ContactName, MomentName } from "../eclipse/circumstances-types.ts";
import type { Cue } from "./plan.ts";
import { ANCHORS, type CueAnchor } from "./vocabulary.ts";

export const CONTACT_OF_ANCHOR: Record<CueAnchor, ContactName | MomentName> = {
  C1: "c1",
  C2: "c2",
  max: "max",
  C3: "c3",
  C4: "c4",
  sunLost: "sunLost",
  sunBack: "sunBack",
  beadsC2: "beadsC2",
  beadsC3: "beadsC3",
};

/** Contacts in ms on one scale (UTC or run time); null where the place has none. */
export type AnchorTimes = Readonly<Record<ContactName, number | null>> &
  Readonly<Partial<Record<MomentName, number | null>>>;

/** No cue comes more often than this: 8 hours at the shortest repeat of 5 s. */
const OCCURRENCES_MOST = 5760;

/**
 * Whether all times of a cue hang on contacts. The moments of the place (skyline, beads) move by
 * themselves and may be unknown when a plan is checked, so nothing that a rule times may hang on
 * them.
 */
export function hangsOnContacts(cue: Pick<Cue, "anchor" | "repeat">): boolean {
  const contacts: readonly string[] = ANCHORS;
  return contacts.includes(cue.anchor) && (cue.repeat === null || contacts.includes(cue.repeat.until.anchor));
}

/** Contact plus offset in ms, or null when this place has no such contact. */
export function anchoredMs(times: AnchorTimes, anchor: CueAnchor, offsetS: number): number | null {
  const contactMs = times[CONTACT_OF_ANCHOR[anchor]] ?? null;
  return contactMs === null ? null : contactMs + offsetS * 1000;
}

/** When a cue comes (first), ms; null when this place has no such contact. */
export function cueDueMs(cue: Pick<Cue, "anchor" | "offsetS">, times: AnchorTimes): number | null {
  return anchoredMs(times, cue.anchor, cue.offsetS);
}

/**
 * Every time a cue comes, ms, in order; empty when this place has no such contact. A repeat ends
 * at its `until`, included; one whose `until` has no contact here does not repeat.
 */
export function cueOccurrencesMs(
  cue: Pick<Cue, "anchor" | "offsetS" | "repeat">,
  times: AnchorTimes,
): number[] {
  const firstMs = cueDueMs(cue, times);
  if (firstMs === null) return [];
  if (cue.repeat === null) return [firstMs];
  const untilMs = anchoredMs(times, cue.repeat.until.anchor, cue.repeat.until.offsetS);
  const everyMs = cue.repeat.everyS * 1000;
  const more = untilMs === null || everyMs <= 0 ? 0 : Math.max(0, Math.floor((untilMs - firstMs) / everyMs));
  return Array.from({ length: Math.min(more + 1, OCCURRENCES_MOST) }, (_, i) => firstMs + i * everyMs);
}
