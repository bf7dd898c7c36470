/**
 * One cue of a rig: what is done, when it is due (a contact plus an offset), in which words, and
 * what the camera is set to for it. Times are derived by run/effective-contacts.ts.
 */
import * as v from "valibot";
import { flag } from "../../fields/flag.ts";
import { planId } from "../../fields/id.ts";
import { listOf } from "../../fields/list.ts";
import { numberWithin, wholeWithin } from "../../fields/number.ts";
import { name, text } from "../../fields/text.ts";
import { ANCHORS, CUE_ACTIONS, CUE_ANCHORS, CUE_OFFSET_MOST_S } from "./vocabulary.ts";

export const AnchorSchema = v.picklist(ANCHORS, "must be one of C1, C2, max, C3, C4");
export const CueAnchorSchema = v.picklist(CUE_ANCHORS, `must be one of ${CUE_ANCHORS.join(", ")}`);

/** How far a cue may lie from its contact, and a practice run may start from one: four hours. */
export const CueOffsetS = numberWithin(-CUE_OFFSET_MOST_S, CUE_OFFSET_MOST_S, "s");

export const PEOPLE = [1, 2] as const;

/** What the camera is set to; null or an empty list for what is left as it is. */
const CameraSchema = v.strictObject({
  /** One exposure after the other, as for brackets, seconds. */
  exposuresS: listOf(numberWithin(1 / 32_000, 600, "s"), 24, "exposures"),
  iso: v.nullable(wholeWithin(1, 1_000_000)),
  /** Focal length over aperture. */
  fNumber: v.nullable(numberWithin(0.7, 512)),
});
export type CameraSettings = v.InferOutput<typeof CameraSchema>;

export const CueSchema = v.strictObject({
  /** Unique within the rig; default cues keep theirs, so that edits survive a change of place. */
  id: planId,
  /** Message key of the default words, e.g. "cue.filter-off"; null for a cue of the lead's own. */
  key: v.nullable(text(60)),
  anchor: CueAnchorSchema,
  offsetS: CueOffsetS,
  /**
   * The other cue of the rig that it goes along with, and how long after it (below 0: before), seconds.
   * `anchor` and `offsetS` are what that comes to (edits/follow.ts). Absent where it hangs on its own.
   */
  along: v.optional(v.strictObject({ cueId: planId, byS: CueOffsetS })),
  action: v.picklist(CUE_ACTIONS, "must be a known action"),
  /** The lead's own words in place of the default ones; null for those of `key`. */
  say: v.nullable(text(120)),
  on: flag,
  /** Whether the operator is asked to confirm. */
  confirm: flag,
  /** How much earlier (≤ 0) and later (≥ 0) than due it may still be done, seconds. */
  earliestS: numberWithin(-3600, 0, "s"),
  latestS: numberWithin(0, 3600, "s"),
  /** Seconds of count-in before it, 0 for none. */
  countInS: numberWithin(0, 60, "s"),
  /** How long hands are on the rig, seconds. */
  handsS: numberWithin(0, 3600, "s"),
  /** Two have to do it together: the rig's operator and anybody else. Absent: the operator alone. */
  people: v.optional(v.picklist(PEOPLE, "must be 1 or 2")),
  /** A thing that is there once for the whole site and needed throughout, by name. Absent: none. */
  tool: v.optional(name(40)),
  /** Done again every so many seconds until a contact plus an offset. */
  repeat: v.nullable(
    v.strictObject({
      everyS: numberWithin(5, 3600, "s"),
      until: v.strictObject({ anchor: CueAnchorSchema, offsetS: CueOffsetS }),
    }),
  ),
  /** Absent where nothing is said of it. */
  camera: v.optional(CameraSchema),
});
export type Cue = v.InferOutput<typeof CueSchema>;
