/** What the hub's clock tells about itself: for the console, the log and the next start. */
import * as v from "valibot";
import type { WitnessVerdict } from "../../shared/sync/witnesses.ts";
import type { UtcMs } from "../../shared/time/instants.ts";
import type { SiteFix, SourceKind, SourceState } from "./ports.ts";

export interface SourceStatus {
  id: string;
  kind: SourceKind;
  /** The source's UTC − the eclipse clock, ms; null when it has none to offer. */
  offsetMs: number | null;
  boundMs: number | null;
  /** Since it was last measured; null for a clock that is read all the time. */
  ageS: number | null;
  state: SourceState;
  detail: string;
}

export interface HubClockStatus {
  source: SourceKind;
  boundMs: number;
  /** What the clock lacks and is working off, ms (positive: it is slow). */
  correctionMs: number;
  /** Rate of correction now, ppm. */
  slewPpm: number;
  sources: SourceStatus[];
  /** The system's clock was stepped and nobody has said yet what to make of it. */
  step: { byMs: number; seenAtUtcMs: UtcMs } | null;
  /** The machine slept; cleared by a fresh GPS or network fix or by acknowledgeSleep. */
  slept: { forMs: number; seenAtUtcMs: UtcMs; boundMs: number } | null;
  /** The sources contradict each other without a majority, and by how much. */
  dispute: { byMs: number; ids: string[] } | null;
  witnesses: { verdict: WitnessVerdict["verdict"]; byMs: number; count: number };
  /** Where the GPS daemon says the site is. */
  site: SiteFix | null;
}

/** One line for the log: every choice and change. */
export interface ClockLogEntry {
  type:
    | "sourceChosen"
    | "sourceState"
    | "stepSeen"
    | "stepAdopted"
    | "stepRefused"
    | "slept"
    | "setNow"
    | "mark"
    | "marksCleared"
    | "witnesses";
  atUtcMs: UtcMs;
  data: Record<string, string | number | null>;
}

const ms = v.pipe(v.number(), v.finite());

/** What must survive a restart of the hub. */
export const savedHubClockSchema = v.object({
  v: v.literal(1),
  atWallMs: ms,
  /** Uptime of the machine then, ms: tells whether it is the same start of the machine. */
  uptimeMs: ms,
  /** Eclipse clock − wall clock, ms, and its bound. */
  eclipseMinusWallMs: ms,
  boundMs: v.pipe(ms, v.minValue(0)),
  kind: v.picklist(["gps", "ntp", "system", "hand"]),
  /** Sum of refused steps of the system's clock, ms: to be added to the wall clock. */
  wallCorrectionMs: ms,
  /** A step nobody had judged yet, ms; 0 when none. */
  pendingStepMs: v.optional(ms, 0),
  /** A sleep that neither a fix nor the lead has answered yet, and how far it widens bounds, ms. */
  slept: v.optional(
    v.nullable(v.object({ forMs: ms, seenAtUtcMs: ms, boundMs: v.pipe(ms, v.minValue(0)) })),
    null,
  ),
  sleepDoubtMs: v.optional(v.pipe(ms, v.minValue(0)), 0),
  /** Marks as UTC − wall clock, ms. */
  marks: v.array(ms),
});

export type SavedHubClock = v.InferOutput<typeof savedHubClockSchema>;
