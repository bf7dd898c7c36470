/**
 * What may be asked of the hub: orders (by a lead) and facts (from a rig). Parsed strictly; an
 * unknown field is refused by name.
 */
import * as v from "valibot";
import { CameraBasisSchema, CameraName, ZoneMin } from "../../fields/camera-clock.ts";
import { flag } from "../../fields/flag.ts";
import { id } from "../../fields/id.ts";
import { FRAMES_MOST, FrameSchema } from "../../fields/image-frame.ts";
import { UtcMsField } from "../../fields/instant.ts";
import { listOf } from "../../fields/list.ts";
import { count, numberWithin } from "../../fields/number.ts";
import { SeenContactSchema } from "../../fields/seen-contact.ts";
import { name, text } from "../../fields/text.ts";
import { PlanDraftSchema, RigDraftSchema, SitePartSchema } from "../../plan/model/plan.ts";
import { reportFields, unsaidInstrument } from "../facts/report-schema.ts";
import { ALERT_ANSWERS, CALLS, SKIES } from "../vocabulary.ts";
import { PracticeSchema } from "./practice-programme.ts";
import { type Refusal, refusal } from "./refusal.ts";

const contact = v.picklist(["c1", "c2", "max", "c3", "c4"], "must be one of c1, c2, max, c3, c4");

/** How far a contact may be shifted from its prediction. */
export const ShiftS = numberWithin(-600, 600, "s");
export const MessageText = name(200);
/** How long a roll call waits for answers. */
export const RollS = numberWithin(10, 3600, "s");
/** How long an alert may be shelved. */
export const ShelveS = numberWithin(60, 3600, "s");

/** Sensor rules of one rig, by name (S14); left out, those of before stay. */
export const AcknowledgedSchema = v.optional(listOf(v.strictObject({ rule: text(20), by: name(60) }), 100));

/** The revision of the part that was edited; another one in between refuses it. */
const ifRevision = numberWithin(0, 1e9);

/** What is known of a camera's clock; the newest word on a camera counts, earlier ones stay on record. */
export const CameraClockSchema = v.strictObject({
  rigId: id,
  camera: CameraName,
  zoneMin: v.optional(ZoneMin, 0),
  basis: CameraBasisSchema,
});

/** What files of a rig said of themselves; a file that was noted before is noted anew. */
export const ImagesSchema = v.strictObject({
  /** The run they belong to; null for the one that is on. */
  runId: v.optional(v.nullable(id), null),
  rigId: id,
  camera: v.optional(v.nullable(text(40)), null),
  replaces: v.optional(flag, false),
  frames: listOf(FrameSchema, FRAMES_MOST, "frames"),
});

const variant = v.picklist(SKIES, "must be clear, thin, broken or overcast");

export const OrderSchema = v.variant(
  "type",
  [
    v.strictObject({
      type: v.literal("savePlan"),
      draft: PlanDraftSchema,
      ifRevision,
    }),
    /** The part that is of no rig; every rig is settled anew where the place changed. */
    v.strictObject({ type: v.literal("saveSite"), part: SitePartSchema, ifRevision }),
    /** A new rig (`ifRevision` 0) or a known one; names left out stay. */
    v.strictObject({
      type: v.literal("saveRig"),
      rig: RigDraftSchema,
      acknowledged: AcknowledgedSchema,
      ifRevision,
    }),
    v.strictObject({ type: v.literal("removeRig"), rigId: id, ifRevision }),
    /** Undoes the last edit of a rig's usual list or of one of its variants. */
    v.strictObject({
      type: v.literal("takeBackEdit"),
      rigId: id,
      variant: v.optional(variant, "clear"),
      ifRevision,
    }),
    /** The edits of one rig are made on another, too; `ifRevision` is of the other. */
    v.strictObject({ type: v.literal("copyEdits"), fromRigId: id, toRigId: id, ifRevision }),
    /** For these rigs, or with null for all; in the run that is on. */
    v.strictObject({
      type: v.literal("chooseVariant"),
      variant,
      rigIds: v.optional(v.nullable(listOf(id, 100)), null),
    }),
    v.strictObject({ type: v.literal("startPractice"), ...PracticeSchema.entries }),
    v.strictObject({ type: v.literal("endPractice") }),
    v.strictObject({
      type: v.literal("call"),
      call: v.picklist(CALLS, "must be totality, sun returns or stay filtered"),
    }),
    v.strictObject({ type: v.literal("takeBackCall"), callId: id }),
    v.strictObject({
      type: v.literal("shiftContact"),
      contact,
      shiftS: ShiftS,
      /** Why, for whoever reads the record. */
      reason: v.optional(MessageText),
    }),
    v.strictObject({ type: v.literal("cover") }),
    v.strictObject({ type: v.literal("releaseCover") }),
    v.strictObject({ type: v.literal("answerHelp"), rigId: id }),
    v.strictObject({ type: v.literal("revokeLink"), rigId: id }),
    v.strictObject({
      type: v.literal("sendMessage"),
      text: MessageText,
      rigIds: v.optional(v.nullable(listOf(id, 100, "rigs")), null),
      /** Sounds on phones that show nothing but their cue. */
      urgent: v.optional(flag),
    }),
    /** Who is ready? To these rigs, or with null to all; whoever has not answered by then has not. */
    v.strictObject({
      type: v.literal("callRoll"),
      rigIds: v.optional(v.nullable(listOf(id, 100, "rigs")), null),
      withinS: v.optional(RollS, 60),
    }),
    /** `forS`: how long it is shelved. */
    v.strictObject({
      type: v.literal("answerAlert"),
      alertId: text(200),
      answer: v.picklist(ALERT_ANSWERS, `must be ${ALERT_ANSWERS.join(", ")}`),
      forS: v.optional(ShelveS, 600),
    }),
    /** A lead at the rig says of its cue what its operator, who is gone, would have said. */
    v.strictObject({
      type: v.literal("markCue"),
      rigId: id,
      cueId: text(60),
      mark: v.picklist(["done", "skipped"], "must be done or skipped"),
    }),
    v.strictObject({ type: v.literal("noteSeenContact"), ...SeenContactSchema.entries }),
    v.strictObject({ type: v.literal("noteCameraClock"), ...CameraClockSchema.entries }),
    v.strictObject({ type: v.literal("noteImages"), ...ImagesSchema.entries }),
  ],
  "must be a known order",
);
export type Order = v.InferOutput<typeof OrderSchema>;

/** A fact as a device sends it. `v` is its version, read by upcasts.ts. */
export const FactSchema = v.strictObject({
  v: v.literal(1, "must be a version this hub knows"),
  rigId: id,
  /** The run it happened in; the hub finds it from the time when left out. */
  runId: v.optional(v.nullable(id), null),
  deviceSeq: count,
  observedUtcMs: UtcMsField,
  boundMs: v.optional(v.nullable(numberWithin(0, 1e9)), null),
  report: v.pipe(
    v.strictObject(reportFields),
    v.check((report) => Object.keys(report).length > 0, "must say something"),
    v.check((report) => unsaidInstrument(report) === null, "must name the instrument that says it"),
  ),
});
export type Fact = v.InferOutput<typeof FactSchema>;

/** The report of the HTTP interface: id and time beside the fields. */
export const HttpReportSchema = v.strictObject({
  id,
  atUtcMs: UtcMsField,
  runId: v.optional(v.nullable(id), null),
  ...reportFields,
});

/** Parses strictly; the refusal names the first field that is wrong. */
export function parse<Schema extends v.GenericSchema>(
  schema: Schema,
  input: unknown,
): { ok: true; value: v.InferOutput<Schema> } | { ok: false; refusal: Refusal } {
  const result = v.safeParse(schema, input, { abortEarly: true });
  if (result.success) return { ok: true, value: result.output };
  return { ok: false, refusal: refusalOf(result.issues[0]) };
}

function refusalOf(issue: v.GenericIssue): Refusal {
  const field = v.getDotPath(issue) ?? "";
  let what = issue.message;
  if (issue.kind === "schema" && issue.received === "undefined") what = "is missing";
  else if (issue.type === "strict_object" && issue.expected === "never") what = "is not a known field";
  else if (/^Invalid (type|key|input|length|value)/.test(what)) what = `is not valid (${what})`;
  return refusal("bad-input", field ? `${field} ${what}` : what, field ? { field } : {});
}
