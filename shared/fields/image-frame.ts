/**
 * What an image or a video said of itself, as it is logged: facts, from which UTC, phase and all else
 * are worked out whenever they are asked for (shared/images/place), by the cameras' clocks as they are
 * known then. No picture is kept, and no path beyond the folder that was chosen.
 */
import * as v from "valibot";
import { numberWithin, wholeWithin } from "./number.ts";
import { name, text } from "./text.ts";

const orNull = <Schema extends v.GenericSchema>(schema: Schema) => v.optional(v.nullable(schema), null);

/** A camera's stamp: the face of its clock read as if it were UTC. */
export const FrameStampSchema = v.strictObject({
  /** As it stands in the file. */
  text: text(60),
  localMs: numberWithin(0, 4_133_980_800_000, "ms"),
  /** To what it is cut down. */
  stepMs: numberWithin(0, 86_400_000, "ms"),
  /** Minutes ahead of UTC by its own word. */
  offsetMin: orNull(wholeWithin(-900, 900)),
  /** Which field of the file it is. */
  field: v.optional(text(40), ""),
});

export const FrameSchema = v.strictObject({
  /** Name with its way from the chosen folder. */
  file: name(300),
  kind: v.optional(v.picklist(["image", "video"], "must be image or video"), "image"),
  stamp: orNull(FrameStampSchema),
  exposureS: orNull(numberWithin(0, 86_400, "s")),
  fNumber: orNull(numberWithin(0, 10_000)),
  iso: orNull(numberWithin(0, 10_000_000)),
  /** What the file calls its camera. */
  model: orNull(text(100)),
  /** Of a video. */
  durationS: orNull(numberWithin(0, 864_000, "s")),
});
export type Frame = v.InferOutput<typeof FrameSchema>;

/** Frames of one order: some 300 bytes each. */
export const FRAMES_MOST = 500;
