/**
 * What a logged event must look like before a state is made of it: for files that come from
 * elsewhere. Events of our own hub were made by decide and need none of this. A payload may hold
 * more than is named here (a later release's optional field); it may not lack or misshape what
 * evolve and the views read.
 */
import * as v from "valibot";
import { MOMENTS } from "../eclipse/circumstances-types.ts";
import { CameraBasisSchema, ZoneMin } from "../fields/camera-clock.ts";
import { flag } from "../fields/flag.ts";
import { idText } from "../fields/id.ts";
import { FRAMES_MOST, FrameSchema } from "../fields/image-frame.ts";
import { UtcMsField } from "../fields/instant.ts";
import { listOf } from "../fields/list.ts";
import { count, finite, numberWithin } from "../fields/number.ts";
import { SeenContactSchema } from "../fields/seen-contact.ts";
import { rawText } from "../fields/text.ts";
import { AnchorSchema } from "../plan/model/cue.ts";
import { PlanSchema, RigSchema, SitePartSchema } from "../plan/model/plan.ts";
import { PRIORITIES } from "./alerts/priority.ts";
import { type EventType, LATE_FLAGS } from "./events.ts";
import { reportFields } from "./facts/report-schema.ts";
import type { LoggedEvent } from "./logged-event.ts";
import { ProgrammeSchema } from "./orders/practice-programme.ts";
import { ALERT_ANSWERS, CALLS, FAULTS, SKIES } from "./vocabulary.ts";

const id = idText(200);
const by = rawText(200);
const instant = v.nullable(UtcMsField);
/** Told by a clock, which may have been wrong by decades (a laptop with a dead battery begins in 1970). */
const clockMs = numberWithin(0, 5e12);

const contact = v.object({
  utcMs: UtcMsField,
  altitudeDeg: finite,
  azimuthDeg: finite,
  positionAngleDeg: finite,
  positionAngleFromZenithDeg: finite,
  aboveHorizon: flag,
});
const circumstances = v.object({
  eclipse: rawText(20),
  kind: v.picklist(["none", "partial", "annular", "total"]),
  visible: flag,
  deltaTS: finite,
  kPenumbra: finite,
  kUmbra: finite,
  contacts: v.object({
    c1: v.nullable(contact),
    c2: v.nullable(contact),
    max: v.nullable(contact),
    c3: v.nullable(contact),
    c4: v.nullable(contact),
  }),
  durationS: numberWithin(0, 3600),
  magnitude: finite,
  ratio: finite,
  obscuration: finite,
  limb: v.optional(v.object({ c2ShiftS: numberWithin(-600, 600), c3ShiftS: numberWithin(-600, 600) })),
  moments: v.optional(v.record(v.picklist(MOMENTS), UtcMsField)),
  timingBoundS: numberWithin(0, 1e6),
  timingShares: listOf(v.object({ cause: rawText(40), s: finite }), 40),
  lengthBoundS: v.optional(numberWithin(0, 3600)),
  sunriseUtcMs: instant,
  sunsetUtcMs: instant,
  sunUp: v.optional(v.object({ fromUtcMs: instant, untilUtcMs: instant })),
});

const revision = count;
const acknowledged = listOf(v.object({ rule: rawText(20), by: rawText(60) }), 100);

const alert = v.object({
  id: rawText(200),
  cause: rawText(80),
  priority: v.picklist(PRIORITIES),
  rigId: v.nullable(id),
  sinceUtcMs: finite,
});
const rigIds = listOf(id, 200);
const programme = v.object({ ...ProgrammeSchema.entries, id });

/** By type, for payloads of the current version (events.ts). */
export const PAYLOAD_SCHEMAS: Record<EventType, v.GenericSchema> = {
  planSaved: v.object({
    plan: PlanSchema,
    circumstances: v.nullable(circumstances),
    placeChanged: flag,
    by,
  }),
  sitePlanned: v.object({
    revision,
    part: SitePartSchema,
    circumstances: v.optional(v.nullable(circumstances)),
    placeChanged: flag,
    by,
  }),
  rigPlanned: v.object({ revision, rig: RigSchema, acknowledged, by }),
  rigRemoved: v.object({ revision, rigId: id, by }),
  rigsOrdered: v.object({ revision, rigIds, by }),
  variantChosen: v.object({
    variant: v.picklist(SKIES),
    rigIds: v.nullable(rigIds),
    by,
  }),
  practiceStarted: v.object({
    runId: id,
    anchor: AnchorSchema,
    offsetS: numberWithin(-86_400, 86_400),
    rate: numberWithin(1, 20),
    startedUtcMs: clockMs,
    startRunMs: clockMs,
    endsAtUtcMs: clockMs,
    programme: v.optional(programme),
  }),
  practiceEnded: v.object({ runId: id, reason: v.picklist(["lead", "limit", "plan", "segment"]) }),
  practiceFault: v.object({
    kind: v.picklist(FAULTS),
    rigIds: v.nullable(rigIds),
    forS: numberWithin(0, 3600),
    over: v.optional(v.literal(true)),
    by,
  }),
  rigReported: v.object({
    ...reportFields,
    rigId: id,
    flags: listOf(v.picklist(LATE_FLAGS), 20),
  }),
  helpAnswered: v.object({ rigId: id }),
  called: v.object({
    callId: id,
    call: v.picklist(CALLS),
    atRunMs: clockMs,
    predictedRunMs: v.optional(v.nullable(clockMs)),
    by,
  }),
  callTakenBack: v.object({ callId: id, by }),
  contactShifted: v.object({
    contact: v.picklist(["c1", "c2", "max", "c3", "c4"]),
    shiftMs: numberWithin(-600_000, 600_000),
    reason: v.optional(rawText(200)),
    by,
  }),
  coverOrdered: v.object({ by }),
  coverReleased: v.object({ by }),
  linkRevoked: v.object({ rigId: id, generation: count }),
  deviceJoined: v.object({ deviceId: id, rigIds, label: rawText(200), agent: v.optional(flag) }),
  messageSent: v.object({
    messageId: id,
    text: rawText(500),
    rigIds: v.nullable(rigIds),
    urgent: v.optional(flag),
    by,
  }),
  rollCalled: v.object({ rollId: id, rigIds: v.nullable(rigIds), untilUtcMs: clockMs, by }),
  cameraClockNoted: v.object({
    clockId: id,
    rigId: id,
    camera: rawText(40),
    zoneMin: ZoneMin,
    basis: CameraBasisSchema,
    by,
  }),
  contactSeen: v.object({ seenId: id, ...SeenContactSchema.entries, by }),
  imagesNoted: v.object({
    noteId: id,
    rigId: id,
    camera: v.nullable(rawText(40)),
    replaces: flag,
    frames: listOf(FrameSchema, FRAMES_MOST),
    by,
  }),
  alertRaised: alert,
  alertCleared: alert,
  alertAnswered: v.object({
    alertId: rawText(200),
    answer: v.picklist(ALERT_ANSWERS),
    untilUtcMs: v.nullable(clockMs),
    by,
  }),
  clockNoted: v.object({
    note: rawText(80),
    detail: v.record(rawText(80), v.union([v.nullable(rawText(1000)), v.number(), v.boolean()])),
  }),
};

/** The envelope of an event as it was read. */
const EnvelopeSchema = v.object({
  seq: count,
  runId: id,
  type: rawText(80),
  v: v.pipe(count, v.minValue(1, "must be at least 1")),
  actor: rawText(200),
  commandId: rawText(200),
  observedUtcMs: clockMs,
  loggedUtcMs: clockMs,
  boundMs: v.nullable(numberWithin(0, 1e9)),
  deviceId: v.nullable(id),
  deviceSeq: v.nullable(count),
});

/** What is wrong with a logged event's envelope, naming the field; null when nothing is. */
export function envelopeTrouble(event: LoggedEvent): string | null {
  return troubleOf(EnvelopeSchema, event);
}

/** The same for the payload of an event in its current version. */
export function payloadTrouble(type: EventType, payload: unknown): string | null {
  return troubleOf(PAYLOAD_SCHEMAS[type], payload);
}

function troubleOf(schema: v.GenericSchema, value: unknown): string | null {
  const result = v.safeParse(schema, value, { abortEarly: true });
  if (result.success) return null;
  const [issue] = result.issues;
  return [v.getDotPath(issue), issue.message].filter(Boolean).join(" ");
}
