/**
 * The plan: the site, the eclipse, the rigs and what each does when. It is what the lead edits
 * and what GET /api/plan gives. Cues keep anchors (a contact plus an offset); times are derived
 * by run/effective-contacts.ts, so that a shift of a contact never edits a plan.
 *
 * `parsePlanDraft` is the only way in: it checks every field and names the one that is wrong.
 */
import * as v from "valibot";
import { isPlainKey, NOT_PLAIN_KEY } from "../../fields/own-key.ts";
import { ANCHORS, CUE_ACTIONS, CUE_ANCHORS, RIG_KINDS } from "./vocabulary.ts";

const text = (most: number) =>
  v.pipe(v.string("must be text"), v.trim(), v.maxLength(most, `must have at most ${most} characters`));
const name = (most: number) => v.pipe(text(most), v.minLength(1, "must not be empty"));
const number = (least: number, most: number) =>
  v.pipe(
    v.number("must be a number"),
    v.finite("must be a finite number"),
    v.minValue(least, `must be at least ${least}`),
    v.maxValue(most, `must be at most ${most}`),
  );
const idText = v.pipe(
  v.string("must be text"),
  v.regex(/^[a-z0-9][a-z0-9-]{0,39}$/, "must be 1 to 40 of a–z, 0–9 and hyphen"),
  v.check(isPlainKey, NOT_PLAIN_KEY),
);

export const AnchorSchema = v.picklist(ANCHORS, "must be one of C1, C2, max, C3, C4");
const CueAnchorSchema = v.picklist(CUE_ANCHORS, `must be one of ${CUE_ANCHORS.join(", ")}`);

export const CueSchema = v.strictObject({
  /** Unique within the rig; default cues keep theirs, so that edits survive a change of place. */
  id: idText,
  /** Message key of the default words, e.g. "cue.filter-off"; null for a cue of the lead's own. */
  key: v.nullable(text(60)),
  anchor: CueAnchorSchema,
  offsetS: number(-4 * 3600, 4 * 3600),
  action: v.picklist(CUE_ACTIONS, "must be a known action"),
  /** The lead's own words in place of the default ones; null for those of `key`. */
  say: v.nullable(text(120)),
  on: v.boolean("must be true or false"),
  /** Whether the operator is asked to confirm. */
  confirm: v.boolean("must be true or false"),
  /** How much earlier (≤ 0) and later (≥ 0) than due it may still be done, seconds. */
  earliestS: number(-3600, 0),
  latestS: number(0, 3600),
  /** Seconds of count-in before it, 0 for none. */
  countInS: number(0, 60),
  /** How long hands are on the rig, seconds. */
  handsS: number(0, 3600),
  /** Done again every so many seconds until a contact plus an offset. */
  repeat: v.nullable(
    v.strictObject({
      everyS: number(5, 3600),
      until: v.strictObject({ anchor: CueAnchorSchema, offsetS: number(-4 * 3600, 4 * 3600) }),
    }),
  ),
});
export type Cue = v.InferOutput<typeof CueSchema>;

export const RIG_FILTERS = ["front", "none by design"] as const;

const rigFields = {
  id: idText,
  name: name(60),
  kind: v.picklist(RIG_KINDS, `must be one of ${RIG_KINDS.join(", ")}`),
  operator: v.optional(text(60), ""),
  /** Whether anybody looks through it: eyepiece, binocular, optical viewfinder, uncapped finder. */
  lookedThrough: v.optional(v.boolean("must be true or false"), false),
  /** Whether the public queues at its eyepiece. */
  publicQueue: v.optional(v.boolean("must be true or false"), false),
  /** Whether nobody stands beside it. */
  unattended: v.optional(v.boolean("must be true or false"), false),
  focalLengthMm: v.optional(v.nullable(number(1, 20_000)), null),
  filter: v.optional(v.picklist(RIG_FILTERS, `must be "front" or "none by design"`), "front"),
};
export const RigSchema = v.strictObject({
  ...rigFields,
  cues: v.pipe(v.array(CueSchema), v.maxLength(80, "must have at most 80 cues")),
});
export type Rig = v.InferOutput<typeof RigSchema>;

/** A rig as it comes in: without cues it gets the default list. */
export const RigDraftSchema = v.strictObject({ ...rigFields, cues: v.optional(RigSchema.entries.cues) });
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

export const SiteSchema = v.strictObject({
  name: name(80),
  latDeg: number(-90, 90),
  lonDeg: number(-180, 180),
  heightM: v.optional(number(-430, 9000), 0),
  /** IANA zone; filled in from the place when left out. */
  zone: v.optional(v.pipe(text(60), v.check(isZone, "must be an IANA time zone")), ""),
  /** How well the coordinates are known, metres. */
  placeBoundM: v.optional(number(0, 100_000), 50),
  /** A lead has seen what this place gets and said that it is this one. */
  confirmed: v.optional(v.boolean("must be true or false"), true),
  /** The skyline as [azimuth, altitude] in degrees, for "Sun lost" and "Sun back". */
  skyline: v.optional(
    v.pipe(
      v.array(v.strictTuple([number(0, 360), number(-5, 90)])),
      v.maxLength(360, "must have at most 360 points"),
    ),
    [],
  ),
});
export type Site = v.InferOutput<typeof SiteSchema>;

/** A sensor rule that a lead has acknowledged by name (S14). */
export const AcknowledgementSchema = v.strictObject({ rule: text(20), rigId: idText, by: name(60) });

const planFields = {
  /** Raised by one at every save. */
  revision: v.optional(v.pipe(v.number("must be a number"), v.integer("must be whole"), v.minValue(0)), 0),
  group: v.optional(text(80), ""),
  /** Date of greatest eclipse, "2027-08-02"; null until chosen. */
  eclipse: v.optional(
    v.nullable(v.pipe(v.string(), v.regex(/^\d{4}-\d\d-\d\d$/, "must be YYYY-MM-DD"))),
    null,
  ),
  site: v.optional(v.nullable(SiteSchema), null),
  /** Whether the Moon's limb shifts the contacts. */
  limb: v.optional(v.boolean("must be true or false"), true),
  acknowledged: v.optional(v.array(AcknowledgementSchema), []),
};
export const PlanSchema = v.strictObject({
  ...planFields,
  rigs: v.pipe(v.array(RigSchema), v.maxLength(100)),
});
export type Plan = v.InferOutput<typeof PlanSchema>;

export const PlanDraftSchema = v.strictObject({
  ...planFields,
  rigs: v.optional(v.pipe(v.array(RigDraftSchema), v.maxLength(100, "must have at most 100 rigs")), []),
});
export type PlanDraft = v.InferOutput<typeof PlanDraftSchema>;
