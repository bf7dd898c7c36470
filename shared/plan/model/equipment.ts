/**
 * What a rig is made of, as far as its owner knows it: every part may be left out, and what hangs on
 * it is then not said. The budgets (plan/budgets) are made from it; no rule of safety hangs on it.
 */
import * as v from "valibot";
import { MOUNTS } from "../../budget/frame-turn.ts";
import { TRACKING } from "../../budget/framing.ts";
import { PHENOMENA } from "../../budget/phenomena.ts";
import { listOf } from "../../fields/list.ts";
import { numberWithin, wholeWithin } from "../../fields/number.ts";
import { text } from "../../fields/text.ts";

const maybe = <Schema extends v.GenericSchema>(schema: Schema) => v.optional(v.nullable(schema), null);

export const SensorSchema = v.strictObject({
  widthMm: numberWithin(1, 100, "mm"),
  heightMm: numberWithin(1, 100, "mm"),
  widthPx: wholeWithin(100, 60_000),
  heightPx: wholeWithin(100, 60_000),
});

/** A brightness exponent Q of somebody's own (budget/phenomena.ts), in place of the published one. */
export const OwnBrightnessSchema = v.strictObject({
  of: v.picklist(PHENOMENA, `must be one of ${PHENOMENA.join(", ")}`),
  q: numberWithin(-10, 20),
});

export const EquipmentSchema = v.strictObject({
  /** Free diameter. */
  apertureMm: maybe(numberWithin(1, 2000, "mm")),
  /** Of the lens or telescope itself, where the diameter is not known. */
  fNumber: maybe(numberWithin(0.7, 512)),
  /** What a reducer (below 1) or an extender (above 1) makes of the focal length. */
  factor: v.optional(numberWithin(0.2, 10), 1),
  sensor: maybe(SensorSchema),
  /** Optical density of the solar filter at the front. */
  filterDensity: maybe(numberWithin(2, 7)),
  mount: maybe(v.picklist(MOUNTS, `must be one of ${MOUNTS.join(", ")}`)),
  tracking: maybe(v.picklist(TRACKING, `must be one of ${TRACKING.join(", ")}`)),
  iso: maybe(wholeWithin(1, 1_000_000)),
  /** One frame as it is written, raw or not. */
  frameMB: maybe(numberWithin(0.1, 1000, "MB")),
  videoMbitPerS: maybe(numberWithin(0.1, 5000, "Mbit/s")),
  /** In a burst: frames a second, how many the camera holds, what it writes meanwhile. */
  burstPerS: maybe(numberWithin(0.1, 1000, "/s")),
  bufferFrames: maybe(wholeWithin(1, 100_000)),
  cardMBPerS: maybe(numberWithin(0.1, 10_000, "MB/s")),
  /** Free on the card when the day begins. */
  cardGB: maybe(numberWithin(0.1, 100_000, "GB")),
  batteryWh: maybe(numberWithin(0.1, 100_000, "Wh")),
  drawW: maybe(numberWithin(0.01, 10_000, "W")),
  /** From one frame's end to the next one's begin, when one presses by hand or script. */
  shutterLagS: v.optional(numberWithin(0, 60, "s"), 0.5),
  /** Absent: the published values. */
  brightness: v.optional(listOf(OwnBrightnessSchema, PHENOMENA.length, "brightness values")),
  /** The camera whose clock stamps the frames, in its owner's words. */
  camera: v.optional(text(60), ""),
});
export type Equipment = v.InferOutput<typeof EquipmentSchema>;

/** Nothing is known. */
export const NO_EQUIPMENT: Equipment = v.parse(EquipmentSchema, {});

/** Where a rig stands on the field, metres east and north of a corner that the group chose. */
export const SpotSchema = v.strictObject({
  eastM: numberWithin(-1000, 1000, "m"),
  northM: numberWithin(-1000, 1000, "m"),
});
export type Spot = v.InferOutput<typeof SpotSchema>;

/** An easy pace over grass in the dusk, m/s, and turning to another rig, s: common practice, no source. */
const PACE_M_PER_S = 1.2;
const TURN_S = 2;

/** Seconds from one rig to another; undefined where one of them has no place on the field. */
export function walkBetweenS(a: Spot | null | undefined, b: Spot | null | undefined): number | undefined {
  if (!a || !b) return undefined;
  return TURN_S + Math.hypot(a.eastM - b.eastM, a.northM - b.northM) / PACE_M_PER_S;
}
