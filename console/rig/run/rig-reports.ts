/**
 * What a tap on the rig page reports, and how it is taken back. Pure: the page sends what these
 * give. Every report is a fact about the rig; what it means for the run is decided in shared/run.
 */

import type { Report } from "../../../shared/run/facts/report-schema.ts";
import type { RigStatus } from "../../../shared/run/views/rig-status.ts";
import type { FilterWord } from "../../../shared/run/vocabulary.ts";
import { ownFilter } from "./own-filter.ts";
import { type CueLine, isFilterCue } from "./run-picture.ts";

export interface Tap {
  rigId: string;
  report: Report;
  /** What takes it back; null where there is nothing to take back. */
  undo: Report | null;
}

/** The big button: the cue was done. */
export function confirmTap(line: CueLine, status: RigStatus): Tap {
  const filter = filterBefore(status);
  const changesFilter = isFilterCue(line) && line.mode === "plain" && filter !== null;
  const changed: Report = changesFilter
    ? { filter: line.cue.action === "filter-on" ? "on" : "off" }
    : line.cue.action === "cap" && filter !== null
      ? { filter: "capped" }
      : {};
  return {
    rigId: line.rigId,
    report: { ...changed, cueDone: line.id },
    undo: { cueReopened: line.id, ...(changed.filter && filter ? { filter } : {}) },
  };
}

/**
 * One tap on the filter mark: on becomes off and the other way round. A filter cue that is due
 * is marked with it. Null where a tap cannot tell (unknown, capped, disputed): the page asks.
 */
export function filterTap(status: RigStatus, lines: readonly CueLine[]): Tap | null {
  const now = filterBefore(status);
  if (status.verdict.disputedBy.length > 0 || (now !== "on" && now !== "off")) return null;
  return setFilter(status, now === "on" ? "off" : "on", lines, false);
}

/** The operator says what the filter is; `looked` settles a disagreement (S9). */
export function setFilter(
  status: RigStatus,
  word: FilterWord,
  lines: readonly CueLine[],
  looked: boolean,
): Tap {
  const before = filterBefore(status);
  const cue = lines.find(
    (line) =>
      line.rigId === status.rig.id &&
      line.cue.action === `filter-${word}` &&
      line.mode === "plain" &&
      (line.state === "now" || line.state === "late"),
  );
  return {
    rigId: status.rig.id,
    report: { filter: word, ...(looked ? { looked: true } : {}), ...(cue ? { cueDone: cue.id } : {}) },
    undo: {
      ...(before ? { filter: before, ...(looked ? { looked: true } : {}) } : {}),
      ...(cue ? { cueReopened: cue.id } : {}),
    },
  };
}

function filterBefore(status: RigStatus): FilterWord | null {
  const filter = ownFilter(status);
  return filter === "none by design" ? null : filter;
}
