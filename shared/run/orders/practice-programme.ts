/**
 * A practice programme: which segment of the day, at which rate, which rigs simulated operators play
 * while nobody is there, which rigs are really capped or point away (S8), which faults come when, how
 * often it is repeated and with what pause. The short form {anchor, offsetS, rate} is one without all that.
 */
import * as v from "valibot";
import { id } from "../../fields/id.ts";
import { listOf } from "../../fields/list.ts";
import { numberWithin, wholeWithin } from "../../fields/number.ts";
import { text } from "../../fields/text.ts";
import { AnchorSchema, CueOffsetS } from "../../plan/model/cue.ts";
import { FAULTS } from "../vocabulary.ts";

/** Rigs of a site: at most so many. */
const rigIds = listOf(id, 100, "rigs");
/** How long a fault lasts, seconds of real time; what does not last (a reload, a contact) ignores it. */
const ForS = numberWithin(1, 120, "s");
/** What the person at a rig is told where a fault is theirs to act out; in the lead's language. */
const Words = text(200);

const faultKind = v.picklist(FAULTS, `must be one of ${FAULTS.join(", ")}`);
const common = {
  kind: faultKind,
  forS: v.optional(ForS, 30),
  /** Null: every rig. */
  rigIds: v.optional(v.nullable(rigIds), null),
  words: v.optional(Words, ""),
  /** The same when it is over. */
  wordsOver: v.optional(Words, ""),
};

/** A fault at the lead's whim. */
export const FaultSchema = v.strictObject(common);
export type Fault = v.InferOutput<typeof FaultSchema>;

/** The same at a moment of the segment. */
export const PlannedFaultSchema = v.strictObject({ ...common, anchor: AnchorSchema, offsetS: CueOffsetS });
export type PlannedFault = v.InferOutput<typeof PlannedFaultSchema>;

export const ProgrammeSchema = v.strictObject({
  /** Where the segment ends; without it a lead ends the run. */
  until: v.optional(v.nullable(v.strictObject({ anchor: AnchorSchema, offsetS: CueOffsetS })), null),
  /** Rigs that a simulated operator plays as long as no phone is linked to them. */
  played: v.optional(rigIds, []),
  /** Rigs that are really capped or point away from the Sun (S8). */
  safe: v.optional(rigIds, []),
  faults: v.optional(listOf(PlannedFaultSchema, 20, "faults"), []),
  /** How often the segment is run in all. */
  repeats: v.optional(wholeWithin(1, 20), 1),
  /** Between two of them, seconds of real time. */
  pauseS: v.optional(numberWithin(5, 900, "s"), 60),
  /** Which of the repeats this is, and of which programme; made up where a programme begins. */
  part: v.optional(wholeWithin(1, 20), 1),
  id: v.optional(v.nullable(id), null),
});
export type ProgrammeOrder = v.InferOutput<typeof ProgrammeSchema>;

export const PracticeSchema = v.strictObject({
  anchor: AnchorSchema,
  offsetS: v.optional(CueOffsetS, -180),
  rate: v.optional(numberWithin(1, 20), 1),
  programme: v.optional(ProgrammeSchema),
});

/** As it stands in the log. */
export type Programme = ProgrammeOrder & { id: string };
