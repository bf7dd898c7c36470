/**
 * How a cue went: early, on time or late against its own window, or missed. Only what was to be
 * confirmed can be missed; what was confirmed without being asked is scored as well.
 */
import type { CueInstance } from "../run/cues/cue-timeline.ts";
import { compareStamps, type Stamp } from "../run/facts/registers.ts";
import { type Reported, registerOf } from "../run/facts/reported.ts";

export const SCORES = ["early", "on time", "late", "missed"] as const;
export type Score = (typeof SCORES)[number];
export type Counts = Record<Score, number>;

export function countsOf(cues: readonly { score: Score }[]): Counts {
  const counts = Object.fromEntries(SCORES.map((score) => [score, 0])) as Counts;
  for (const { score } of cues) counts[score]++;
  return counts;
}

export interface Mark {
  kind: "done" | "skipped" | "open";
  atRunMs: number;
  /** Who said so. */
  by: string;
}

/** What a report says of a cue, and the mark that it makes. */
export const MARKS = [
  ["cueDone", "done"],
  ["cueSkipped", "skipped"],
  ["cueReopened", "open"],
] as const;

/**
 * The mark that stands of each cue of each rig: the newest by when it was observed. A cue that was
 * confirmed again is judged by its first confirmation. `reports` are in order (inOrder).
 */
export function marksOf(
  reports: readonly Reported[],
  at: (utcMs: number) => number,
): Map<string, Map<string, Mark>> {
  const all = new Map<string, Map<string, Mark>>();
  for (const { payload, observedUtcMs, actor } of reports) {
    for (const [field, kind] of MARKS) {
      const cueId = payload[field];
      if (cueId === undefined) continue;
      const mine = all.get(payload.rigId) ?? new Map<string, Mark>();
      all.set(payload.rigId, mine);
      const before = mine.get(cueId);
      if (kind === "done" && before?.kind === "done") continue;
      mine.set(cueId, { kind, atRunMs: at(observedUtcMs), by: actor });
    }
  }
  return all;
}

/** By when they were observed, then by device and its own numbers, as the run itself has it (R1). */
export function inOrder(reports: readonly Reported[]): readonly Reported[] {
  let before: Stamp | null = null;
  const sorted = reports.every((event) => {
    const stamp = registerOf(event, null);
    const after: boolean = before === null || compareStamps(before, stamp) <= 0;
    before = stamp;
    return after;
  });
  // As they nearly always are.
  if (sorted) return reports;
  return reports
    .map((event) => registerOf(event, event))
    .sort(compareStamps)
    .map(({ value }) => value);
}

export interface Scored {
  doneRunMs: number | null;
  score: Score;
  why: "skipped" | "taken back" | "nothing said" | null;
  /** The lead who did it, or left it out, in the operator's place. */
  inPlaceBy: string | null;
}

const LEAD = /^lead:/;

/** Null for what nobody was asked to confirm and nobody did. */
export function scoreOf(item: CueInstance, mark: Mark | undefined): Scored | null {
  const inPlaceBy = mark && LEAD.test(mark.by) ? mark.by : null;
  if (mark?.kind === "done") {
    const { atRunMs } = mark;
    const score = atRunMs < item.fromMs ? "early" : atRunMs > item.toMs ? "late" : "on time";
    return { doneRunMs: atRunMs, score, why: null, inPlaceBy };
  }
  if (!item.cue.confirm) return null;
  const why = mark?.kind === "skipped" ? "skipped" : mark?.kind === "open" ? "taken back" : "nothing said";
  return { doneRunMs: null, score: "missed", why, inPlaceBy };
}
