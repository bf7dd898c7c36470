/**
 * The whole site as one value, made by folding events (evolve.ts). Plain data, never mutated;
 * the hub, every lead and every rig page hold the same.
 */
import type { Circumstances, ContactName } from "../eclipse/circumstances-types.ts";
import { EMPTY_PLAN } from "../plan/model/empty-plan.ts";
import type { Plan } from "../plan/model/plan.ts";
import type { Variant } from "../plan/model/vocabulary.ts";
import type { RunMs, UtcMs } from "../time/instants.ts";
import type { AlertChange, CameraClockNoted, Payloads, PracticeStarted } from "./events.ts";
import type { FieldRegisters, InstrumentRegisters } from "./facts/field-registers.ts";
import { type FilterWords, NO_FILTER_WORDS } from "./facts/filter-state.ts";
import type { Register } from "./facts/registers.ts";
import type { CallName } from "./vocabulary.ts";

/** Raised whenever evolve or this shape changes: saved states of another version are not used. */
export const EVOLVE_VERSION = 13;

/** "open" is a mark that was taken back. */
export type CueMark = "done" | "skipped" | "open";

/** What is known of one rig in one run. Missing means never said. */
export interface RigRecord extends Readonly<FieldRegisters> {
  filter: FilterWords;
  /** What instruments said, apart from what people did. */
  instruments: InstrumentRegisters;
  checks: Readonly<Record<string, Register<boolean>>>;
  /** By cue instance (cue-timeline.ts). */
  cues: Readonly<Record<string, Register<CueMark>>>;
  /** Newest observation of any kind by a person: an instrument breaks no silence. */
  lastUtcMs: UtcMs | null;
}

export const NO_RECORD: RigRecord = {
  filter: NO_FILTER_WORDS,
  instruments: {},
  checks: {},
  cues: {},
  lastUtcMs: null,
};

export interface Call {
  callId: string;
  call: CallName;
  atRunMs: RunMs;
  /** The contact that it names, as predicted then. */
  predictedRunMs?: RunMs | null | undefined;
  by: string;
  takenBack: boolean;
  /** A call of totality after which something made things safe: only a fresh one opens (S6). */
  ended?: boolean;
}

export interface RunRecord {
  runId: string;
  kind: "real" | "practice";
  /** When a practice run was started, real UTC; null for the real run. */
  startedUtcMs: UtcMs | null;
  rigs: Readonly<Record<string, RigRecord>>;
  calls: readonly Call[];
  /** Shifts by the lead, ms, added to the predicted contact. */
  shifts: Readonly<Partial<Record<ContactName, number>>>;
  /** When a contact was last shifted or a call made, real UTC (S5: the last minute). */
  revisedUtcMs: UtcMs | null;
  /** When something last made things safe (cover, "stay filtered", "Sun returns"), real UTC (S6). */
  madeSafeUtcMs: UtcMs | null;
  /** When something of that kind was last taken back or released, real UTC (S6). */
  unmadeUtcMs: UtcMs | null;
  /** When a practice run ended, real UTC; null while it goes on, and for the real run. */
  endedUtcMs: UtcMs | null;
  /** The variant in force: the site's, and of rigs that have one of their own. */
  variant: { site: Variant | "clear"; rigs: Readonly<Record<string, Variant | "clear">> };
  /** Of a practice: a step of a clock that it practises, the hub's where `rigIds` is null, and until when. */
  stepped?: { rigIds: readonly string[] | null; untilUtcMs: UtcMs };
}

/** When a part of the plan was saved last, and by whom: what a lead's change is checked against. */
export interface PartMark {
  revision: number;
  by: string;
  savedUtcMs: UtcMs;
}

interface PlanParts {
  /** The last save of all. */
  last: PartMark | null;
  /** Null for a site, missing for a rig, that nobody has saved yet. */
  site: PartMark | null;
  rigs: Readonly<Record<string, PartMark>>;
}

interface Device {
  deviceId: string;
  rigIds: readonly string[];
  label: string;
  /** A program that reads instruments: nobody is told anything by it. */
  agent?: boolean | undefined;
  joinedUtcMs: UtcMs;
}

export interface Message {
  messageId: string;
  /** A message of a practice ends with it. */
  runId: string;
  text: string;
  rigIds: readonly string[] | null;
  urgent?: boolean;
  by: string;
  sentUtcMs: UtcMs;
  /** Rigs of which a phone has shown or sounded it, and when first. */
  seenBy: Readonly<Record<string, UtcMs>>;
}

/** The newest roll call. A rig's answer is its report `ready` from then on. */
export interface RollCall {
  rollId: string;
  /** A roll call of a practice ends with it. */
  runId: string;
  rigIds: readonly string[] | null;
  by: string;
  sinceUtcMs: UtcMs;
  untilUtcMs: UtcMs;
}

/** An alert as it was logged, and what leads have said to it. */
export interface KnownAlert extends AlertChange {
  /** The run in which it was raised, or a lead last said something to it. */
  runId: string;
  takenBy: string | null;
  seenBy: string | null;
  shelvedUntilUtcMs: UtcMs | null;
  /** It is over, and was danger that nobody has said to have seen; null while it stands. */
  overUtcMs: UtcMs | null;
}

/** A word on a camera's clock; of one rig's camera the last counts. */
export interface CameraClockRecord extends CameraClockNoted {
  notedUtcMs: UtcMs;
}

export interface SiteState {
  seq: number;
  plan: Plan;
  planParts: PlanParts;
  circumstances: Circumstances | null;
  /** When the place was last changed, real UTC (S5). */
  placeChangedUtcMs: UtcMs | null;
  realRunId: string;
  practice: PracticeStarted | null;
  /** S7: latched until a lead releases it. */
  cover: { sinceUtcMs: UtcMs; by: string } | null;
  /** Generation of each rig's link; a higher one revokes what was scanned before. */
  generations: Readonly<Record<string, number>>;
  runs: Readonly<Record<string, RunRecord>>;
  devices: Readonly<Record<string, Device>>;
  /** The newest few messages of the lead. */
  messages: readonly Message[];
  roll: RollCall | null;
  /** By id: those that stand, and danger that went by unseen. */
  alerts: Readonly<Record<string, KnownAlert>>;
  /** In the order in which they were said. */
  cameraClocks: readonly CameraClockRecord[];
  /** In the order in which they were said; of a contact and a camera the last counts. */
  contactsSeen: readonly Payloads["contactSeen"][];
}

export const UNPLANNED_RUN = "real-unplanned";
/** With the day that names the eclipse behind it: the real run of that eclipse. */
export const REAL_RUN = "real-";

export function newRun(runId: string, kind: RunRecord["kind"], startedUtcMs: UtcMs | null = null): RunRecord {
  return {
    runId,
    kind,
    startedUtcMs,
    rigs: {},
    calls: [],
    shifts: {},
    revisedUtcMs: null,
    madeSafeUtcMs: null,
    unmadeUtcMs: null,
    endedUtcMs: null,
    variant: { site: "clear", rigs: {} },
  };
}

export const EMPTY_STATE: SiteState = {
  seq: 0,
  plan: EMPTY_PLAN,
  planParts: { last: null, site: null, rigs: {} },
  circumstances: null,
  placeChangedUtcMs: null,
  realRunId: UNPLANNED_RUN,
  practice: null,
  cover: null,
  generations: {},
  runs: { [UNPLANNED_RUN]: newRun(UNPLANNED_RUN, "real") },
  devices: {},
  messages: [],
  roll: null,
  alerts: {},
  cameraClocks: [],
  contactsSeen: [],
};
