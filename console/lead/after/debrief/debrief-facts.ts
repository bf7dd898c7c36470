/**
 * Three sentences of a run that a person can read aloud, as facts: how the cues went, what became of the
 * filters, how many alerts there were. Nothing is said that the log does not hold: a filter of which
 * nobody spoke did not stay on, one that was open in sunlight is named before whatever else is true, and
 * of several that were alike none is the only one.
 */
import type { Review } from "../../../../shared/review/review.ts";
import { type Counts, countsOf } from "../../../../shared/review/scores.ts";

export interface DebriefFacts {
  cues: Readonly<Counts> & { all: number };
  filters: FilterFact;
  /** Rigs whose filter was not said to be on again. */
  stillOff: readonly string[];
  /** `read`: as many lines to read, and the most of these in ten minutes. */
  alerts: Pick<Review["alerts"], "raised" | "read" | "mostInTenMinutes">;
}

type FilterFact =
  | { kind: "nobody said" }
  /** `untold`: rigs of which nobody said anything. */
  | { kind: "none came off"; untold: number }
  /** Those that were open in sunlight: how many, and the longest of them, to the second. */
  | { kind: "in sunlight"; count: number; longest: readonly string[]; s: number }
  | { kind: "off still" }
  /** From C3 to the last that was on again, s; null where that says nothing (no C3, or all closed without it). */
  | { kind: "all closed"; afterC3S: number | null };

export function debriefFacts(review: Review): DebriefFacts {
  const name = (rigId: string) => review.rigs.find(({ id }) => id === rigId)?.name ?? rigId;
  const stillOff = review.filters.filter(({ open }) => open.at(-1)?.closed === false);
  return {
    cues: { all: review.cues.length, ...countsOf(review.cues) },
    filters: filterFact(review, name),
    stillOff: stillOff.map(({ rigId }) => name(rigId)),
    alerts: review.alerts,
  };
}

function filterFact({ filters }: Review, name: (rigId: string) => string): FilterFact {
  const lit = filters
    .map(({ rigId, sunlitS }) => ({ rigId, s: Math.round(sunlitS) }))
    .filter(({ s }) => s > 0)
    .sort((a, b) => b.s - a.s);
  const [worst] = lit;
  if (worst) {
    const longest = lit.filter(({ s }) => s === worst.s).map(({ rigId }) => name(rigId));
    return { kind: "in sunlight", count: lit.length, longest, s: worst.s };
  }
  const opened = filters.filter(({ open }) => open.length > 0);
  if (opened.some(({ open }) => open.at(-1)?.closed === false)) return { kind: "off still" };
  if (opened.length > 0) {
    const after = opened.flatMap(({ closedAfterC3S }) => closedAfterC3S ?? []);
    return { kind: "all closed", afterC3S: after.length === 0 ? null : Math.round(Math.max(...after)) };
  }
  const could = filters.filter(({ hasOne }) => hasOne);
  const untold = could.filter(({ told }) => !told).length;
  if (could.length > 0 && untold === could.length) return { kind: "nobody said" };
  return { kind: "none came off", untold };
}
