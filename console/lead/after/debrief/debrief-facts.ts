/**
 * Three sentences of a run that a person can read aloud, as facts: what was on time, whose filter was
 * open longest after C3, how many alerts there were. Nothing is said that the log does not hold.
 */
import type { Review } from "../../../../shared/review/review.ts";
import { type Counts, countsOf } from "../../../../shared/review/scores.ts";

export interface DebriefFacts {
  cues: Readonly<Counts> & { all: number };
  filters:
    | { kind: "none came off" }
    | { kind: "all closed"; withinS: number }
    | { kind: "open longest"; rig: string; s: number }
    | { kind: "still off"; rigs: readonly string[] };
  alerts: { raised: number; mostInTenMinutes: number };
}

/** S4: a filter is to be on again by so long after C3. */
const CLOSED_BY_S = 15;

export function debriefFacts(review: Review): DebriefFacts {
  return {
    cues: { all: review.cues.length, ...countsOf(review.cues) },
    filters: filterFact(review),
    alerts: { raised: review.alerts.raised, mostInTenMinutes: review.alerts.mostInTenMinutes },
  };
}

function filterFact({ filters, rigs }: Review): DebriefFacts["filters"] {
  const name = (rigId: string) => rigs.find(({ id }) => id === rigId)?.name ?? rigId;
  const opened = filters.filter(({ open }) => open.length > 0);
  if (opened.length === 0) return { kind: "none came off" };
  const stillOff = opened.filter(({ open }) => open.at(-1)?.closed === false);
  if (stillOff.length > 0) return { kind: "still off", rigs: stillOff.map(({ rigId }) => name(rigId)) };
  const after = opened
    .map(({ rigId, closedAfterC3S }) => ({ rigId, s: closedAfterC3S ?? Number.NEGATIVE_INFINITY }))
    .sort((a, b) => b.s - a.s)[0];
  if (!after || after.s <= CLOSED_BY_S)
    return { kind: "all closed", withinS: Math.max(0, Math.ceil(after?.s ?? 0)) };
  return { kind: "open longest", rig: name(after.rigId), s: Math.round(after.s) };
}
