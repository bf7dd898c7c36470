/**
 * Everything that can have happened. Names are past tense; `v` is the payload's version.
 * Facts (`rigReported`) come late and in any order; all other events are decided by the hub in
 * the order of their sequence numbers.
 */
import * as v from "valibot";
import type { Circumstances, ContactName } from "../eclipse/circumstances-types.ts";
import type { Plan } from "../plan/plan.ts";
import type { UtcMs } from "../time/instants.ts";
import type { FilterWord } from "./filter-state.ts";
import type { LoggedEvent } from "./logged-event.ts";

export const SKIES = ["clear", "thin", "broken", "overcast"] as const;
export type Sky = (typeof SKIES)[number];

const finite = (least: number, most: number) =>
  v.pipe(
    v.number("must be a number"),
    v.finite("must be a finite number"),
    v.minValue(least, `must be at least ${least}`),
    v.maxValue(most, `must be at most ${most}`),
  );
const flag = v.boolean("must be true or false");
const cueId = v.pipe(
  v.string("must be text"),
  v.minLength(1),
  v.maxLength(60, "must have at most 60 characters"),
);

/** What a rig may say of itself; every field may be left out, but not all. */
export const reportFields = {
  filter: v.optional(v.picklist(["on", "off", "unknown", "capped"], "must be on, off, unknown or capped")),
  /** The filter was looked at: settles a disagreement (S9). */
  looked: v.optional(flag),
  cardFreeGB: v.optional(finite(0, 100_000)),
  batteryPct: v.optional(finite(0, 100)),
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
  checks: v.optional(
    v.pipe(
      v.record(v.pipe(v.string(), v.maxLength(40)), flag),
      v.maxEntries(60, "must have at most 60 entries"),
    ),
  ),
  /** What the phone can do now: screen kept on, sound, voice, vibration. */
  armed: v.optional(v.strictObject({ screen: flag, sound: flag, voice: flag, vibration: flag })),
};
export const ReportSchema = v.strictObject(reportFields);
export type Report = v.InferOutput<typeof ReportSchema>;

export type LateFlag = "rig removed" | "run ended" | "cue unknown" | "link revoked" | "run unknown";

export interface RigReported extends Report {
  rigId: string;
  /** Why the fact would have been refused as a command: kept, and marked. */
  flags: LateFlag[];
}

export const CALLS = ["totality", "sun returns", "stay filtered"] as const;
export type CallName = (typeof CALLS)[number];

export interface PracticeStarted {
  runId: string;
  anchor: string;
  offsetS: number;
  rate: number;
  startedUtcMs: UtcMs;
  startRunMs: number;
  /** S8: every page ends the practice by itself at this instant. */
  endsAtUtcMs: UtcMs;
}

export interface AlertChange {
  id: string;
  cause: string;
  priority: "danger" | "caution" | "advice";
  rigId: string | null;
  sinceUtcMs: number;
}

/** Payloads by type of event. */
export interface Payloads {
  planSaved: { plan: Plan; circumstances: Circumstances | null; placeChanged: boolean; by: string };
  practiceStarted: PracticeStarted;
  practiceEnded: { runId: string; reason: "lead" | "limit" | "plan" };
  rigReported: RigReported;
  helpAnswered: { rigId: string };
  called: { callId: string; call: CallName; atRunMs: number; by: string };
  callTakenBack: { callId: string; by: string };
  contactShifted: { contact: ContactName; shiftMs: number; by: string };
  coverOrdered: { by: string };
  coverReleased: { by: string };
  linkRevoked: { rigId: string; generation: number };
  deviceJoined: { deviceId: string; rigIds: string[]; label: string };
  messageSent: { messageId: string; text: string; rigIds: string[] | null; by: string };
  alertRaised: AlertChange;
  alertCleared: AlertChange;
  clockNoted: { note: string; detail: Record<string, string | number | boolean | null> };
}
export type EventType = keyof Payloads;

/** Current version of each payload. */
export const EVENT_VERSIONS: Record<EventType, number> = {
  planSaved: 1,
  practiceStarted: 1,
  practiceEnded: 1,
  rigReported: 1,
  helpAnswered: 1,
  called: 1,
  callTakenBack: 1,
  contactShifted: 1,
  coverOrdered: 1,
  coverReleased: 1,
  linkRevoked: 1,
  deviceJoined: 1,
  messageSent: 1,
  alertRaised: 1,
  alertCleared: 1,
  clockNoted: 1,
};

export type SiteEvent = { [T in EventType]: LoggedEvent<T, Payloads[T]> }[EventType];
export type { FilterWord };
