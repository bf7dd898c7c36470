/** Words of a plan: anchors, kinds of rigs, actions of cues. Apart from the schemas, for pages. */
import { MOMENTS } from "../../eclipse/circumstances-types.ts";

export const ANCHORS = ["C1", "C2", "max", "C3", "C4"] as const;

export type Anchor = (typeof ANCHORS)[number];

/** What a cue may hang on: a contact, or a moment of the place's own (skyline, beads). */
export const CUE_ANCHORS = [...ANCHORS, ...MOMENTS] as const;

export type CueAnchor = (typeof CUE_ANCHORS)[number];

export const RIG_KINDS = [
  "tracked-telescope",
  "tripod-camera",
  "wide-camera",
  "video-camera",
  "small-automatic-telescope",
  "visual-telescope",
  "binocular",
  "narrowband-telescope",
  "projection",
] as const;

export type RigKind = (typeof RIG_KINDS)[number];

export const CUE_ACTIONS = [
  "align",
  "frame",
  "focus",
  "tape",
  "check",
  "exposure",
  "burst",
  "record",
  "stop",
  "filter-off",
  "filter-on",
  "filter-check",
  "cap",
  "hands-off",
  "look-up",
  "eyes-away",
  "glasses-on",
  "guard",
  "recentre",
] as const;

export type CueAction = (typeof CUE_ACTIONS)[number];

/** Whether a cue is about the filter: taking it off, or putting it on again. */
export function isFilterAction(action: CueAction): action is "filter-off" | "filter-on" {
  return action === "filter-off" || action === "filter-on";
}

/** A rig has at most so many cues, of which each has its place on a page. */
export const CUES_MOST = 80;
/** How far a cue may lie from its contact, seconds. */
export const CUE_OFFSET_MOST_S = 4 * 3600;

/** What the sky may turn out to be other than clear: for each a rig may have further edits. */
export const VARIANTS = ["thin", "broken", "overcast"] as const;

export type Variant = (typeof VARIANTS)[number];
