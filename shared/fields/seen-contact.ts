/**
 * A contact as a camera saw it: the last frame before and the first after, by their stamps. For C2 the
 * last with bare photosphere and the first without; for C3 the other way round; for C1 and C4 the bite.
 */
import * as v from "valibot";
import { CameraName } from "./camera-clock.ts";
import { id } from "./id.ts";
import { StampMsField } from "./instant.ts";
import { numberWithin } from "./number.ts";
import { text } from "./text.ts";

export const SEEN_CONTACTS = ["c1", "c2", "c3", "c4"] as const;

export const SeenContactSchema = v.strictObject({
  contact: v.picklist(SEEN_CONTACTS, "must be c1, c2, c3 or c4"),
  rigId: id,
  camera: CameraName,
  /** As if the camera's own civil time were UTC, as in camera-clock.ts. */
  beforeMs: StampMsField,
  afterMs: StampMsField,
  stepMs: numberWithin(0, 60_000, "ms"),
  /** The two files. */
  beforeName: v.optional(text(120), ""),
  afterName: v.optional(text(120), ""),
});
export type SeenContact = v.InferOutput<typeof SeenContactSchema>;
