/**
 * The default cue list of a rig for what its site gets: which list, what becomes of it where the
 * Sun rises or sets (under-the-sun.ts), and what of it fits (fit-cues.ts). Pure and total: every
 * rig at every site gets a list that obeys S1–S15; a site that sees nothing of the eclipse gets an
 * empty one.
 */

import type { LocalEclipse } from "../local-eclipse.ts";
import type { Cue } from "../model/cue.ts";
import {
  type Allowance,
  filterAllowance,
  hasFilter,
  isLeftAlone,
  isLookedThrough,
  type RigOptics,
} from "../safety/allowance.ts";
import { cameraCues, lookedThroughCues, videoCues, wideCues } from "./cue-lists.ts";
import { filteredCameraCues, filterStaysCues, leftAloneCues, projectionCues } from "./cue-lists-filtered.ts";
import {
  partialCameraCues,
  partialLookCues,
  partialProjectionCues,
  partialVideoCues,
  partialWideCues,
} from "./cue-lists-partial.ts";
import type { CueRow } from "./cue-row.ts";
import { photographClock } from "./cue-rows.ts";
import { fitCues } from "./fit-cues.ts";
import { underTheSun } from "./under-the-sun.ts";

/** Cues with ids that stay the same from place to place, sorted by time. */
export function defaultCues(rig: RigOptics, gets: LocalEclipse): Cue[] {
  const fitting = (rows: readonly CueRow[]) => fitCues(underTheSun(rows, gets), gets.contacts);
  const rows = rowsFor(rig, gets, filterAllowance(rig, gets));
  const fitted = fitting(rows);
  const isOff = (row: CueRow) => row.cue.action === "filter-off";
  // No time to take the filter off: then it stays on, and everything that hung on it goes too.
  const lost = rows.some(isOff) && !fitted.some(isOff);
  return (lost ? fitting(rowsFor(rig, gets, null)) : fitted).map((row) => row.cue);
}

/** @param allowance null where the filter stays on. */
function rowsFor(rig: RigOptics, gets: LocalEclipse, allowance: Allowance | null): CueRow[] {
  if (gets.kind === "none") return [];
  const rows = isLeftAlone(rig)
    ? leftAloneCues()
    : gets.kind === "total"
      ? totalRows(rig, gets.totalityS, allowance)
      : partialRows(rig, gets);
  if (!isCamera(rig) || rig.kind === "projection") return rows;
  return [...rows, photographClock(gets.kind !== "total" && hasFilter(rig))];
}

function totalRows(rig: RigOptics, totalityS: number, allowance: Allowance | null): CueRow[] {
  if (rig.kind === "projection") return projectionCues();
  const looked = isLookedThrough(rig);
  const camera = isCamera(rig);
  if (!hasFilter(rig) && !looked && !rig.publicQueue && rig.kind !== "narrowband-telescope")
    return rig.kind === "video-camera" ? videoCues(null, totalityS) : wideCues(null, totalityS);
  if (allowance === null)
    return looked || rig.publicQueue
      ? filterStaysCues(rig.publicQueue, camera)
      : filteredCameraCues(rig.kind === "narrowband-telescope");
  if (looked) return lookedThroughCues(totalityS, camera);
  switch (rig.kind) {
    case "wide-camera":
      return wideCues(allowance, totalityS);
    case "video-camera":
      return videoCues(allowance, totalityS);
    case "tripod-camera":
      return cameraCues(allowance, totalityS, { recentre: true });
    case "small-automatic-telescope":
      return cameraCues(allowance, totalityS, { recentreOff: true });
    default:
      return cameraCues(allowance, totalityS, {});
  }
}

function partialRows(rig: RigOptics, gets: LocalEclipse): CueRow[] {
  const annular = gets.kind === "annular";
  if (rig.kind === "projection") return partialProjectionCues(annular);
  const narrowband = rig.kind === "narrowband-telescope";
  if (rig.publicQueue || (isLookedThrough(rig) && !isCamera(rig))) return partialLookCues(annular);
  if (!hasFilter(rig) && !isLookedThrough(rig) && !narrowband) return partialWideCues();
  return rig.kind === "video-camera" ? partialVideoCues(gets) : partialCameraCues(gets, narrowband);
}

/** Whether it has a camera at all, whoever else looks through. */
function isCamera({ kind, publicQueue }: RigOptics): boolean {
  return !publicQueue && !["visual-telescope", "binocular", "narrowband-telescope"].includes(kind);
}
