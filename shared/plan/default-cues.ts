/**
 * The default cue list of a rig for what its site gets: which list (cue-lists.ts), then what of
 * it fits (fit-cues.ts). Pure and total: every rig at every site gets a list that obeys S1–S15;
 * a site that sees nothing of the eclipse gets an empty one.
 */
import {
  cameraCues,
  filterStaysCues,
  leftAloneCues,
  lookedThroughCues,
  narrowbandCues,
  partialCues,
  partialProjectionCues,
  partialWideCues,
  projectionCues,
  videoCues,
  wideCues,
} from "./cue-lists.ts";
import type { CueRow } from "./cue-row.ts";
import { fitCues } from "./fit-cues.ts";
import type { Cue } from "./plan.ts";
import {
  filterAllowance,
  hasFilter,
  isLeftAlone,
  isLookedThrough,
  type RigOptics,
} from "./safety/allowance.ts";
import type { WhatSiteGets } from "./what-site-gets.ts";

/** Cues with ids that stay the same from place to place, sorted by time. */
export function defaultCues(rig: RigOptics, gets: WhatSiteGets): Cue[] {
  return fitCues(rowsFor(rig, gets), gets.contacts).map((row) => row.cue);
}

function rowsFor(rig: RigOptics, gets: WhatSiteGets): CueRow[] {
  if (gets.kind === "none") return [];
  if (isLeftAlone(rig)) return leftAloneCues();
  return gets.kind === "total" ? totalRows(rig, gets) : partialRows(rig, gets.kind === "annular");
}

function totalRows(rig: RigOptics, gets: WhatSiteGets): CueRow[] {
  if (rig.kind === "projection") return projectionCues();
  const looked = isLookedThrough(rig);
  const allowance = filterAllowance(rig, gets);
  if (!hasFilter(rig) && !looked && !rig.publicQueue && rig.kind !== "narrowband-telescope")
    return rig.kind === "video-camera" ? videoCues(null, gets.totalityS) : wideCues(null, gets.totalityS);
  if (allowance === null)
    return rig.kind === "narrowband-telescope" && !looked && !rig.publicQueue
      ? narrowbandCues()
      : filterStaysCues(rig.publicQueue);
  if (looked)
    return lookedThroughCues(gets.totalityS, rig.kind !== "visual-telescope" && rig.kind !== "binocular");
  switch (rig.kind) {
    case "wide-camera":
      return wideCues(allowance, gets.totalityS);
    case "video-camera":
      return videoCues(allowance, gets.totalityS);
    case "tripod-camera":
      return cameraCues(allowance, gets.totalityS, { recentre: true });
    case "small-automatic-telescope":
      return cameraCues(allowance, gets.totalityS, { recentreOff: true });
    default:
      return cameraCues(allowance, gets.totalityS, {});
  }
}

function partialRows(rig: RigOptics, annular: boolean): CueRow[] {
  if (rig.kind === "projection") return partialProjectionCues(annular);
  const looked = isLookedThrough(rig) || rig.publicQueue;
  if (!hasFilter(rig) && !looked && rig.kind !== "narrowband-telescope") return partialWideCues();
  if (looked) return partialCues("look", annular);
  return partialCues(rig.kind === "narrowband-telescope" ? "narrowband" : "camera", annular);
}
