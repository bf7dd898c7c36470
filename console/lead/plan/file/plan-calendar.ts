/**
 * The plan as a calendar (RFC 5545): the contacts, and every cue that is to be confirmed, in UTC. An
 * event keeps its UID from one export to the next and counts up with the plan's revision (SEQUENCE), so
 * that a calendar which takes the file again moves what it has and doubles nothing.
 */
import { ICalCalendar } from "ical-generator";
import { type AnchorTimes, cueOccurrencesMs } from "../../../../shared/plan/cue-times.ts";
import type { Plan } from "../../../../shared/plan/model/plan.ts";
import { ANCHORS } from "../../../../shared/plan/model/vocabulary.ts";
import { anchorWords } from "../../../parts/words-for-anchor.ts";
import { cueWords, needsWords } from "../../../parts/words-for-cue.ts";

/** Of UIDs, which are to be unique in the world: a name that no address has (RFC 2606). */
const DOMAIN = "noonfall.invalid";
/** An event without a length is hidden by some calendars (common practice, no source). */
const LEAST_S = 60;

/** `nowUtcMs`: when the file is made (DTSTAMP). */
export function planCalendar(plan: Plan, times: AnchorTimes, nowUtcMs: number): string {
  const calendar = new ICalCalendar({
    name: [plan.site?.name, plan.eclipse].filter(Boolean).join(" · ") || "Noonfall",
    prodId: { company: "Noonfall", product: "plan", language: "EN" },
  });
  const add = (uid: string, atMs: number, lengthS: number, summary: string, description?: string) => {
    calendar.createEvent({
      id: `${plan.eclipse ?? "plan"}-${uid}@${DOMAIN}`,
      sequence: plan.revision,
      stamp: new Date(nowUtcMs),
      start: new Date(atMs),
      end: new Date(atMs + Math.max(LEAST_S, lengthS) * 1000),
      summary,
      ...(description && { description }),
      ...(plan.site && { location: plan.site.name }),
    });
  };
  for (const anchor of ANCHORS) {
    const atMs = times[anchor.toLowerCase() as Lowercase<typeof anchor>];
    if (atMs !== null && atMs !== undefined) add(`contact-${anchor}`, atMs, LEAST_S, anchorWords(anchor));
  }
  for (const rig of plan.rigs)
    for (const cue of rig.cues.filter(({ on, confirm }) => on && confirm))
      for (const [n, atMs] of cueOccurrencesMs(cue, times).entries())
        add(
          `${rig.id}-${cue.id}-${n}`,
          atMs,
          cue.handsS,
          `${rig.name}: ${cueWords(cue)}`,
          [rig.operator, needsWords(cue)].filter(Boolean).join("\n"),
        );
  return calendar.toString();
}
