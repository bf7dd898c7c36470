/**
 * The schema of what a rig may say of itself. Apart from events.ts, so that pages, which check
 * nothing the hub will check, do not carry it.
 */
import * as v from "valibot";
import { flag } from "../../fields/flag.ts";
import { idText } from "../../fields/id.ts";
import { numberWithin } from "../../fields/number.ts";
import { isPlainKey, NOT_PLAIN_KEY } from "../../fields/own-key.ts";
import { rawText } from "../../fields/text.ts";
import { SKIES } from "../vocabulary.ts";

const cueId = idText(60);
/** An empty one is none of ours and was always taken: it may stand in logs and outboxes. */
const checkId = v.pipe(rawText(40), v.check(isPlainKey, NOT_PLAIN_KEY));

/** What a rig may say of itself; every field may be left out, but not all. */
export const reportFields = {
  filter: v.optional(v.picklist(["on", "off", "unknown", "capped"], "must be on, off, unknown or capped")),
  /** The filter was looked at: settles a disagreement (S9). */
  looked: v.optional(flag),
  cardFreeGB: v.optional(numberWithin(0, 100_000, "GB")),
  batteryPct: v.optional(numberWithin(0, 100, "%")),
  tracking: v.optional(flag),
  focused: v.optional(flag),
  recording: v.optional(flag),
  sky: v.optional(v.picklist(SKIES, "must be clear, thin, broken or overcast")),
  /** Id of a cue that was done ("filter-off", or "partial-before.3" for the third of a series). */
  cueDone: v.optional(cueId),
  cueSkipped: v.optional(cueId),
  /** Takes back a mark made by mistake. */
  cueReopened: v.optional(cueId),
  help: v.optional(flag),
  /** The operator sees totality with their own eyes (S5). */
  sawTotality: v.optional(flag),
  /** For this practice run the rig is capped or points away from the Sun (S8). */
  practiceSafe: v.optional(flag),
  /** Set-up checks by id. */
  checks: v.optional(v.pipe(v.record(checkId, flag), v.maxEntries(60, "must have at most 60 entries"))),
  /** What the phone can do now: screen kept on, sound, voice, vibration. */
  armed: v.optional(v.strictObject({ screen: flag, sound: flag, voice: flag, vibration: flag })),
};
export const ReportSchema = v.strictObject(reportFields);
export type Report = v.InferOutput<typeof ReportSchema>;
