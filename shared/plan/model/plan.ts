/**
 * The plan: the site, the eclipse, the rigs and what each does when. It is what the lead edits
 * and what GET /api/plan gives. Cues keep anchors (a contact plus an offset); times are derived
 * by run/effective-contacts.ts, so that a shift of a contact never edits a plan.
 *
 * `parsePlanDraft` is the only way in: it checks every field and names the one that is wrong.
 */
import * as v from "valibot";
import { flag } from "../../fields/flag.ts";
import { planId } from "../../fields/id.ts";
import { listOf } from "../../fields/list.ts";
import { count, numberWithin } from "../../fields/number.ts";
import { heightM, latDeg, lonDeg, placeBoundM } from "../../fields/place.ts";
import { name, text } from "../../fields/text.ts";
import { CueSchema } from "./cue.ts";
import { EditsSchema } from "./edit.ts";
import { EquipmentSchema, SpotSchema } from "./equipment.ts";
import { CUES_MOST, RIG_KINDS, type Variant } from "./vocabulary.ts";

export const RIG_FILTERS = ["front", "none by design"] as const;

const rigFields = {
  id: planId,
  name: name(60),
  kind: v.picklist(RIG_KINDS, `must be one of ${RIG_KINDS.join(", ")}`),
  operator: v.optional(text(60), ""),
  /** Whether anybody looks through it: eyepiece, binocular, optical viewfinder, uncapped finder. */
  lookedThrough: v.optional(flag, false),
  /** Whether the public queues at its eyepiece. */
  publicQueue: v.optional(flag, false),
  /** Whether nobody stands beside it. */
  unattended: v.optional(flag, false),
  focalLengthMm: v.optional(v.nullable(numberWithin(1, 20_000, "mm")), null),
  filter: v.optional(v.picklist(RIG_FILTERS, `must be "front" or "none by design"`), "front"),
  /** What it is made of, for the budgets; absent: nobody has said. */
  equipment: v.optional(EquipmentSchema),
  /** Where it stands on the field; absent: nobody has drawn it. */
  spot: v.optional(SpotSchema),
};

const cues = listOf(CueSchema, CUES_MOST, "cues");

/**
 * What a lead changed, beside what came of it. `edits` are on the default list and gave `cues`;
 * those of a variant are on `cues` and are few: its list is put together when it is asked for
 * (edits/variant-cues.ts). Absent means none.
 */
const edited = {
  edits: v.optional(EditsSchema),
  variants: v.optional(
    v.strictObject({
      thin: v.optional(EditsSchema),
      broken: v.optional(EditsSchema),
      overcast: v.optional(EditsSchema),
    } satisfies Record<Variant, unknown>),
  ),
};
export const RigSchema = v.strictObject({ ...rigFields, cues, ...edited });
export type Rig = v.InferOutput<typeof RigSchema>;

/**
 * A rig as it comes in. Without cues it gets the default list with the edits that it brings; cues
 * that differ from those of before are the lead's, and edits are found by comparing. Variants that
 * are left out stay as they are.
 */
export const RigDraftSchema = v.strictObject({ ...rigFields, cues: v.optional(cues), ...edited });
export type RigDraft = v.InferOutput<typeof RigDraftSchema>;

/** Whether a program that writes local times knows the zone; "" is filled in from the place. */
function isZone(zone: string): boolean {
  if (zone === "") return true;
  try {
    return new Intl.DateTimeFormat("en", { timeZone: zone }) !== null;
  } catch {
    return false;
  }
}

/** Azimuth and altitude. */
export const SkylinePoint = v.strictTuple([numberWithin(0, 360, "°"), numberWithin(-5, 90, "°")]);

export const SiteSchema = v.strictObject({
  name: name(80),
  latDeg,
  lonDeg,
  heightM: v.optional(heightM, 0),
  /** IANA zone; filled in from the place when left out. */
  zone: v.optional(v.pipe(text(60), v.check(isZone, "must be an IANA time zone")), ""),
  /** How well the coordinates are known, metres. */
  placeBoundM: v.optional(placeBoundM, 50),
  /** A lead has seen what this place gets and said that it is this one. */
  confirmed: v.optional(flag, true),
  /** The skyline as [azimuth, altitude] in degrees, for "Sun lost" and "Sun back". */
  skyline: v.optional(listOf(SkylinePoint, 360, "points"), []),
});
export type Site = v.InferOutput<typeof SiteSchema>;

/** A sensor rule that a lead has acknowledged by name (S14). */
export const AcknowledgementSchema = v.strictObject({ rule: text(20), rigId: planId, by: name(60) });

/** What of a plan is not of one rig. */
const sitePart = {
  group: v.optional(text(80), ""),
  /** Date of greatest eclipse, "2027-08-02"; null until chosen. */
  eclipse: v.optional(
    v.nullable(v.pipe(v.string(), v.regex(/^\d{4}-\d\d-\d\d$/, "must be YYYY-MM-DD"))),
    null,
  ),
  site: v.optional(v.nullable(SiteSchema), null),
  /** Whether the Moon's limb shifts the contacts. */
  limb: v.optional(flag, true),
};
export const SitePartSchema = v.strictObject(sitePart);
export type SitePart = v.InferOutput<typeof SitePartSchema>;

/** More than all sensor rules on all rigs. */
const acknowledged = listOf(AcknowledgementSchema, 1000, "acknowledgements");
const planFields = {
  /** Raised by one at every save. */
  revision: v.optional(count, 0),
  ...sitePart,
  acknowledged: v.optional(acknowledged, []),
};
export const PlanSchema = v.strictObject({
  ...planFields,
  rigs: listOf(RigSchema, 100, "rigs"),
});
export type Plan = v.InferOutput<typeof PlanSchema>;

export const PlanDraftSchema = v.strictObject({
  ...planFields,
  rigs: v.optional(listOf(RigDraftSchema, 100, "rigs"), []),
  /** What a save answered beside the plan; may come back with it, and is not looked at. */
  notes: v.optional(v.array(v.unknown())),
});
export type PlanDraft = Omit<v.InferOutput<typeof PlanDraftSchema>, "notes">;
