/**
 * Leaves out the cues that do not fit. A totality may last a second: then the rows of a list run
 * into each other, and some have to go, in a stated order, so that no rig ever asks for two
 * things at once and nobody is told to look up outside totality. The most needed row is placed
 * first; each further one stays if it fits beside those already placed.
 *
 * Two rows conflict when their busy times overlap (every repeat counted), or when the one that
 * stands later in the list would come first.
 */

import { type AnchorTimes, cueDueMs, cueOccurrencesMs } from "../cue-times.ts";
import type { CueRow } from "./cue-row.ts";

/**
 * Given up in this order, the first first; ids that do not stand here are never dropped:
 * "filter-on" above all, then "eyes-away" and "glasses-on". A ring too short for its burst and an
 * exposure at maximum keeps the burst. Common practice, no source.
 */
export const DROP_ORDER: readonly string[] = [
  // what the evening after can do without, and checks and words that another row says too
  "photograph-clock",
  "guard",
  "filter-stays",
  "maximum-wide",
  "lights-out",
  "queue-pause",
  "filter-firm",
  // exposures one can do without
  "partial-before",
  "partial-after",
  "first-bite",
  "ring-ends",
  "ring-ends-look",
  "ring-ends-screen",
  "maximum",
  "maximum-look",
  "maximum-screen",
  "ring-begins",
  "ring-begins-look",
  "ring-begins-screen",
  "brackets-again",
  "recentre-again",
  "bead-after",
  "look-up",
  "short-exposure",
  "burst-after",
  "corona-exposure",
  "corona-brackets",
  "long-bracket",
  "burst-before",
  "limb-exposure",
  "bead-before",
  // preparation
  "focus-card-battery-first",
  "recentre",
  "recentre-off",
  "sun-up",
  "start-frames",
  "record",
  "stop-recording",
  "focus-card-battery",
  "retape",
  "filter-stays-after",
  "guard-after",
  "projection-uncap",
  "frame-focus",
  "focus-narrowband",
  "screen-up",
  "focus-tape",
  "stop-alone",
  "stop-cap",
  "cap-stop",
  "cap-leave",
  "loosen-tape",
  "filter-off",
];

/** What makes no sense without another. */
const NEEDS: Readonly<Record<string, string>> = {
  "loosen-tape": "filter-off",
  "burst-before": "filter-off",
  "stop-recording": "record",
};

/** The rows that fit at these contacts, sorted by time (first occurrence), list order kept in ties. */
export function fitCues(rows: readonly CueRow[], times: AnchorTimes): CueRow[] {
  const listed = rows.filter((row) => isPossible(row, times));
  const kept = new Set<CueRow>();
  for (const row of mostNeededFirst(listed.filter(({ unless }) => unless === null))) {
    const at = listed.indexOf(row);
    const free = [...kept].every((other) =>
      listed.indexOf(other) < at ? !conflict(other, row, times) : !conflict(row, other, times),
    );
    if (free || !DROP_ORDER.includes(row.cue.id)) kept.add(row);
  }
  const ids = new Set([...kept].map((row) => row.cue.id));
  for (const row of listed) if (row.unless !== null && !ids.has(row.unless)) kept.add(row);
  const makesSense = ({ cue }: CueRow) => {
    const needed = NEEDS[cue.id];
    return needed === undefined || ids.has(needed);
  };
  return listed
    .filter((row) => kept.has(row) && makesSense(row))
    .sort((a, b) => (cueDueMs(a.cue, times) ?? 0) - (cueDueMs(b.cue, times) ?? 0));
}

function mostNeededFirst(rows: readonly CueRow[]): CueRow[] {
  const need = (row: CueRow) => {
    const place = DROP_ORDER.indexOf(row.cue.id);
    return place === -1 ? DROP_ORDER.length : place;
  };
  return [...rows].sort((a, b) => need(b) - need(a));
}

function isPossible(row: CueRow, times: AnchorTimes): boolean {
  const dueMs = cueDueMs(row.cue, times);
  if (dueMs === null) return false;
  if (row.within === null) return true;
  if (times.c2 === null || times.c3 === null) return false;
  const { c2S, c3S } = row.within;
  return dueMs >= times.c2 + c2S * 1000 && dueMs + row.busyS * 1000 <= times.c3 + c3S * 1000;
}

/** Whether `later`, standing below `row` in the list, cannot be there together with it. */
function conflict(row: CueRow, later: CueRow, times: AnchorTimes): boolean {
  const rowAt = cueOccurrencesMs(row.cue, times);
  const laterAt = cueOccurrencesMs(later.cue, times);
  if ((rowAt[0] ?? 0) > (laterAt[0] ?? 0)) return true;
  if (row.busyS === 0 && later.busyS === 0) return false;
  return rowAt.some((aMs) =>
    laterAt.some((bMs) => aMs < bMs + later.busyS * 1000 && bMs < aMs + row.busyS * 1000),
  );
}
