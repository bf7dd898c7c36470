/**
 * Everything that can have happened. Names are past tense; `v` is the payload's version.
 * Facts (`rigReported`) come late and in any order; all other events are decided by the hub in
 * the order of their sequence numbers.
 */
import type { Circumstances, ContactName } from "../eclipse/circumstances-types.ts";
import type { CameraBasis } from "../fields/camera-clock.ts";
import type { Frame } from "../fields/image-frame.ts";
import type { SeenContact } from "../fields/seen-contact.ts";
import type { Plan, Rig, SitePart } from "../plan/model/plan.ts";
import type { Variant } from "../plan/model/vocabulary.ts";
import type { RunMs, UtcMs } from "../time/instants.ts";
import type { AlertPriority } from "./alerts/priority.ts";
import type { Report } from "./facts/report-schema.ts";
import type { LoggedEvent } from "./logged-event.ts";
import type { Programme } from "./orders/practice-programme.ts";
import type { AlertAnswer, CallName, FaultKind } from "./vocabulary.ts";

/** Why a fact would have been refused as a command. */
export const LATE_FLAGS = [
  "rig removed",
  "run ended",
  "cue unknown",
  "link revoked",
  "run unknown",
  // Parts were left out, or taken together with others': fact-bounds.ts.
  "check unknown",
  "cue left out",
  "device not told apart",
  "not for an instrument",
] as const;
export type LateFlag = (typeof LATE_FLAGS)[number];

export interface RigReported extends Report {
  rigId: string;
  /** Why the fact would have been refused as a command: kept, and marked. */
  flags: LateFlag[];
}

export interface PracticeStarted {
  runId: string;
  anchor: string;
  offsetS: number;
  rate: number;
  startedUtcMs: UtcMs;
  startRunMs: RunMs;
  /** S8: every page ends the practice by itself at this instant. */
  endsAtUtcMs: UtcMs;
  /** What else was asked for; missing where a run was started at a contact and nothing more. */
  programme?: Programme;
}

export interface AlertChange {
  id: string;
  cause: string;
  priority: AlertPriority;
  rigId: string | null;
  sinceUtcMs: UtcMs;
}

/** What of the plan is not of one rig, with the revision that the plan has after it. */
interface SitePlanned {
  revision: number;
  part: SitePart;
  /** Absent where what the site gets stays as it was. */
  circumstances?: Circumstances | null;
  placeChanged: boolean;
  by: string;
}

/** One rig as it was settled, its edits and variants with it. */
interface RigPlanned {
  revision: number;
  rig: Rig;
  /** Sensor rules acknowledged for this rig (S14). */
  acknowledged: { rule: string; by: string }[];
  by: string;
}

/** What somebody says of a camera's clock: it takes the place of what was said before of that camera. */
export interface CameraClockNoted {
  clockId: string;
  rigId: string;
  camera: string;
  /** Camera's civil time − UTC in whole quarter-hours, min: apart from the offset. */
  zoneMin: number;
  basis: CameraBasis;
  by: string;
}

/**
 * What files of a rig said of themselves: of one file of a rig in a run the last word counts. No state is
 * made of it: only after-work asks, and reads the log (shared/images/place/noted-frames.ts).
 */
export interface ImagesNoted {
  noteId: string;
  rigId: string;
  /** Which of the rig's cameras; null where the files or a single clock tell. */
  camera: string | null;
  /** Whether these take the place of all frames of the rig that were noted before. */
  replaces: boolean;
  frames: Frame[];
  by: string;
}

/** Payloads by type of event. */
export interface Payloads {
  /** A whole plan: of hubs before parts had events of their own, and never written any more. */
  planSaved: { plan: Plan; circumstances: Circumstances | null; placeChanged: boolean; by: string };
  sitePlanned: SitePlanned;
  rigPlanned: RigPlanned;
  rigRemoved: { revision: number; rigId: string; by: string };
  rigsOrdered: { revision: number; rigIds: string[]; by: string };
  variantChosen: { variant: Variant | "clear"; rigIds: string[] | null; by: string };
  practiceStarted: PracticeStarted;
  practiceEnded: { runId: string; reason: "lead" | "limit" | "plan" | "segment" };
  /** Thrown into a practice run; what comes of it stands in events of its own. */
  /** `over`: not thrown in, but ended before its time. */
  practiceFault: { kind: FaultKind; rigIds: string[] | null; forS: number; over?: true; by: string };
  rigReported: RigReported;
  helpAnswered: { rigId: string };
  /** `predictedRunMs`: the contact that it names, as predicted then; missing in older events. */
  called: {
    callId: string;
    call: CallName;
    atRunMs: RunMs;
    predictedRunMs?: RunMs | null | undefined;
    by: string;
  };
  callTakenBack: { callId: string; by: string };
  /** `reason`: why, in the lead's words; missing where none was given. */
  contactShifted: { contact: ContactName; shiftMs: number; reason?: string; by: string };
  coverOrdered: { by: string };
  coverReleased: { by: string };
  linkRevoked: { rigId: string; generation: number };
  deviceJoined: { deviceId: string; rigIds: string[]; label: string; agent?: boolean | undefined };
  /** `urgent`: phones that show nothing but their cue sound for it, and show it later. */
  messageSent: { messageId: string; text: string; rigIds: string[] | null; urgent?: boolean; by: string };
  /** Who is ready? Answered by the report `ready`, until then. */
  rollCalled: { rollId: string; rigIds: string[] | null; untilUtcMs: UtcMs; by: string };
  cameraClockNoted: CameraClockNoted;
  /** Takes the place of what was said before of that contact and camera. */
  contactSeen: SeenContact & { seenId: string; by: string };
  imagesNoted: ImagesNoted;
  alertRaised: AlertChange;
  alertCleared: AlertChange;
  /** `untilUtcMs`: how long it is shelved. */
  alertAnswered: { alertId: string; answer: AlertAnswer; untilUtcMs: UtcMs | null; by: string };
  clockNoted: { note: string; detail: Record<string, string | number | boolean | null> };
}
export type EventType = keyof Payloads;

/** Of `rigReported`: by itself, since phones write no other event and need not carry the table. */
export const REPORT_VERSION = 1;

/** Current version of each payload. */
export const EVENT_VERSIONS: Record<EventType, number> = {
  planSaved: 2,
  sitePlanned: 1,
  rigPlanned: 1,
  rigRemoved: 1,
  rigsOrdered: 1,
  variantChosen: 1,
  practiceStarted: 1,
  practiceEnded: 1,
  practiceFault: 1,
  rigReported: REPORT_VERSION,
  helpAnswered: 1,
  called: 1,
  callTakenBack: 1,
  contactShifted: 1,
  coverOrdered: 1,
  coverReleased: 1,
  linkRevoked: 1,
  deviceJoined: 1,
  messageSent: 1,
  rollCalled: 1,
  cameraClockNoted: 1,
  contactSeen: 1,
  imagesNoted: 1,
  alertRaised: 1,
  alertCleared: 1,
  alertAnswered: 1,
  clockNoted: 1,
};

export type SiteEvent = { [T in EventType]: LoggedEvent<T, Payloads[T]> }[EventType];
