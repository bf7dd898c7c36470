/**
 * One thing that a lead changed against the default list of a rig, or in a variant against its
 * usual list. Edits are kept in the order in which they were made, and a later one on the same
 * thing takes the place of an earlier one: to undo is to take away the last.
 *
 * An edit that does not fit where the site is now stays in the list and says so; elsewhere it may
 * fit again.
 */
import * as v from "valibot";
import { flag } from "../../fields/flag.ts";
import { planId } from "../../fields/id.ts";
import { listOf } from "../../fields/list.ts";
import { numberWithin } from "../../fields/number.ts";
import { text } from "../../fields/text.ts";
import { type Cue, CueAnchorSchema, CueOffsetS, CueSchema } from "./cue.ts";

const came = {
  /** Set by the hub: there is no such cue here, or a rule of `rule` forbids it. Absent: it is kept. */
  came: v.optional(v.picklist(["unfit", "refused"])),
  rule: v.optional(text(20)),
};
const {
  along,
  say,
  action,
  key,
  confirm,
  earliestS,
  latestS,
  countInS,
  handsS,
  people,
  tool,
  repeat,
  camera,
} = CueSchema.entries;

interface OfCue {
  cueId: string;
  came?: "unfit" | "refused" | undefined;
  rule?: string | undefined;
}
type Of<Do extends string, Fields extends keyof Cue = never> = OfCue & { do: Do } & Pick<Cue, Fields>;

export type Edit =
  | (OfCue & { do: "move"; byS: number })
  | Of<"hang", "anchor" | "offsetS" | "along">
  | Of<"switch", "on">
  | Of<"say", "say">
  | Of<"act", "action" | "key">
  | Of<"confirm", "confirm">
  | Of<"window", "earliestS" | "latestS">
  | Of<"count in", "countInS">
  | Of<"hands", "handsS" | "people" | "tool">
  | Of<"repeat", "repeat">
  | Of<"camera", "camera">
  | (OfCue & { do: "add"; cue: Cue })
  | Of<"take out">
  | Of<"bring back">
  | Of<"usual">;

/** Typed by hand: what is inferred of so many kinds is too deep for the compiler. */
export const EditSchema: v.GenericSchema<Edit> = v.variant(
  "do",
  [
    /** Earlier (below 0) or later than the default list has it, seconds. */
    v.strictObject({
      do: v.literal("move"),
      cueId: planId,
      byS: numberWithin(-8 * 3600, 8 * 3600, "s"),
      ...came,
    }),
    /** Hung on another contact, or going along with another cue. */
    v.strictObject({
      do: v.literal("hang"),
      cueId: planId,
      anchor: CueAnchorSchema,
      offsetS: CueOffsetS,
      along,
      ...came,
    }),
    v.strictObject({ do: v.literal("switch"), cueId: planId, on: flag, ...came }),
    /** Own words; null for the usual ones. */
    v.strictObject({ do: v.literal("say"), cueId: planId, say, ...came }),
    v.strictObject({ do: v.literal("act"), cueId: planId, action, key, ...came }),
    v.strictObject({ do: v.literal("confirm"), cueId: planId, confirm, ...came }),
    v.strictObject({ do: v.literal("window"), cueId: planId, earliestS, latestS, ...came }),
    v.strictObject({ do: v.literal("count in"), cueId: planId, countInS, ...came }),
    /** Without `people` and `tool`: one person, no tool. */
    v.strictObject({ do: v.literal("hands"), cueId: planId, handsS, people, tool, ...came }),
    v.strictObject({ do: v.literal("repeat"), cueId: planId, repeat, ...came }),
    /** Without `camera`: nothing is said of it. */
    v.strictObject({ do: v.literal("camera"), cueId: planId, camera, ...came }),
    v.strictObject({ do: v.literal("add"), cueId: planId, cue: CueSchema, ...came }),
    v.strictObject({ do: v.literal("take out"), cueId: planId, ...came }),
    /** A cue that was taken out is there again. */
    v.strictObject({ do: v.literal("bring back"), cueId: planId, ...came }),
    /** Back to the usual list: whatever was edited before does not count. */
    v.strictObject({ do: v.literal("usual"), cueId: v.literal(""), ...came }),
  ],
  "must be a known edit",
);

/** More than there are things to change in eighty cues. */
export const EDITS_MOST = 400;
export const EditsSchema = listOf(EditSchema, EDITS_MOST, "edits");
