/**
 * What somebody says of a camera's clock, as schemas: the log keeps it (shared/run) and offset, rate
 * and bound are solved from it whenever they are asked for (shared/images/camera-clock). What was seen
 * is kept, not what followed from it: a better method reads the same facts again.
 *
 * A stamp is written as if the camera's own civil time were UTC: 12:02:08 on a camera in Cairo's
 * summer is Date.UTC(…, 12, 2, 8). The zone, in whole quarter-hours, is apart from the offset.
 */
import * as v from "valibot";
import { StampMsField, UtcMsField } from "./instant.ts";
import { numberWithin } from "./number.ts";
import { name, text } from "./text.ts";

/** Ten minutes: a stamp of whole minutes, an instant somebody remembers. */
const spanMs = numberWithin(0, 600_000, "ms");

/**
 * What a sighting is of: the clock's code, its digits read by a person, an instant seen in the frame
 * (a bead that was called), or the count-in's pips in the sound. Only the first two went through a
 * display.
 */
export const SIGHTINGS_OF = ["code", "digits", "frame", "sound"] as const;

/** One instant at which a camera's stamp and UTC are both known. */
export const SightingSchema = v.strictObject({
  of: v.picklist(SIGHTINGS_OF, `must be one of ${SIGHTINGS_OF.join(", ")}`),
  /** The file, or what it is that was seen. */
  name: v.optional(text(120), ""),
  stampMs: StampMsField,
  /** Step of the camera's stamps: 1000 for whole seconds, 10 for hundredths. */
  stepMs: numberWithin(0, 60_000, "ms"),
  /** UTC at which what was seen began. */
  utcMs: UtcMsField,
  /** For how long it stood: 200 for a code, 1000 for digits read to the second, 0 for an instant. */
  holdMs: v.optional(spanMs, 0),
  /** How far `utcMs` may be from UTC. */
  boundMs: spanMs,
});
export type Sighting = v.InferOutput<typeof SightingSchema>;

export const SIGHTINGS_MOST = 200;

/** What a camera on a cable said of its own clock at an instant, apart from the zone. */
export const CableReadingSchema = v.strictObject({
  utcMs: UtcMsField,
  /** Camera − UTC, s; it lies within `boundS` of that. */
  offsetS: numberWithin(-2_000_000_000, 2_000_000_000, "s"),
  boundS: numberWithin(0, 86_400, "s"),
});
export type CableReading = v.InferOutput<typeof CableReadingSchema>;

export const CABLE_READINGS_MOST = 24;

export const CameraBasisSchema = v.variant(
  "how",
  [
    v.strictObject({
      how: v.literal("sightings"),
      sightings: v.pipe(
        v.array(SightingSchema),
        v.minLength(1, "must not be empty"),
        v.maxLength(SIGHTINGS_MOST, `must have at most ${SIGHTINGS_MOST} sightings`),
      ),
    }),
    /** Camera − UTC apart from the zone, at an instant, as somebody found it in a way of their own. */
    v.strictObject({
      how: v.literal("hand"),
      offsetS: numberWithin(-2_000_000_000, 2_000_000_000, "s"),
      boundS: numberWithin(0, 86_400, "s"),
      utcMs: UtcMsField,
    }),
    /** Read over a cable, again and again, in the order of time. */
    v.strictObject({
      how: v.literal("cable"),
      readings: v.pipe(
        v.array(CableReadingSchema),
        v.minLength(1, "must not be empty"),
        v.maxLength(CABLE_READINGS_MOST, `must have at most ${CABLE_READINGS_MOST} readings`),
      ),
    }),
    /** What was said before was wrong, and nothing is known. */
    v.strictObject({ how: v.literal("unknown") }),
  ],
  "must be sightings, hand, cable or unknown",
);
export type CameraBasis = v.InferOutput<typeof CameraBasisSchema>;

/** Camera's civil time − UTC, minutes: as far as zones go on the Earth, in quarter-hours. */
export const ZoneMin = v.pipe(
  numberWithin(-14 * 60, 14 * 60, "min"),
  v.multipleOf(15, "must be a whole number of quarter-hours"),
);

/** Which camera of a rig: a name of the group's own. */
export const CameraName = v.optional(name(40), "camera");
