/** What the hub's clock tells about itself: for the console, the log and the next start. */
import * as v from "valibot";
import type { WitnessVerdict } from "../../shared/sync/witnesses.ts";
import type { UtcMs } from "../../shared/time/instants.ts";
import type { SiteFix, SourceKind, SourceState } from "./ports.ts";
import type { WitnessStatus } from "./witness-box.ts";

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
  /**
   * How far a step that waits for an answer, a source that contradicts, or a witness says the clock
   * may be off beyond what `boundMs` reckons with, ms; 0 when nothing does (S5).
   */
  apartMs: number;
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
  witnesses: {
    verdict: WitnessVerdict["verdict"];
    byMs: number;
    count: number;
    /** They make the bound less than the sources alone do. */
    narrow: boolean;
    devices: WitnessStatus[];
  };
  /** Where the GPS daemon says the site is. */
  site: SiteFix | null;
}

/** Changes when something that a person would see has changed. */
export function seenKey(s: HubClockStatus): string {
  const size = (ms: number) => Math.round(8 * Math.log2(Math.max(0.1, ms)));
  return JSON.stringify([
    s.source,
    s.step,
    s.slept,
    s.dispute?.ids,
    s.witnesses.verdict,
    s.witnesses.devices.map((w) => [w.deviceId, w.standing]),
    s.sources.map((x) => [x.id, x.state]),
    size(s.boundMs),
    size(Math.max(1000, s.apartMs)),
  ]);
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
    | "witnesses"
    | "witnessSetAside"
    | "witnessCounted";
  atUtcMs: UtcMs;
  data: Record<string, string | number | null>;
}

const ms = v.pipe(v.number(), v.finite());

/** What must survive a restart of the hub. */
export const savedHubClockSchema = v.object({
  /** 2: marks have an age, and a system clock that says nothing of itself an honest bound. */
  v: v.picklist([1, 2]),
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
  /** Marks as UTC − wall clock, ms, and how old they were. */
  marks: v.array(v.union([ms, v.object({ offsetMs: ms, ageMs: ms, doubtMs: v.pipe(ms, v.minValue(0)) })])),
  /** Devices that the lead has set aside, with what their clocks said then. */
  setAside: v.optional(v.array(v.object({ deviceId: v.string(), label: v.string(), offsetMs: ms })), []),
});

export type SavedHubClock = v.InferOutput<typeof savedHubClockSchema>;
