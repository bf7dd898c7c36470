/** What GET /api/clock answers, as far as the console reads it. Times in ms unless named. */
export interface ClockStatus {
  source: SourceKind;
  boundMs: number;
  /** How far a step, another source or a witness says the clock may be off; 0 when nothing does. */
  apartMs: number;
  /** What the clock lacks and is working off (positive: it is slow). */
  correctionMs: number;
  sources: SourceStatus[];
  /** The laptop's own clock was set by something, and nobody has said what to make of it. */
  step: { byMs: number; seenAtUtcMs: number } | null;
  slept: { forMs: number; seenAtUtcMs: number; boundMs: number } | null;
  dispute: { byMs: number; ids: string[] } | null;
  witnesses: {
    verdict: "agreed" | "disputed" | "too few";
    byMs: number;
    count: number;
    /** They make the bound less than the sources alone do. */
    narrow: boolean;
    devices: WitnessStatus[];
  };
  sleep?: { state: "held" | "cannot" | string; detail: string };
  samples: ClockSample[];
}

export type SourceKind = "gps" | "ntp" | "system" | "hand";

export interface WitnessStatus {
  deviceId: string;
  /** What kind of device, as it said; may be empty. */
  label: string;
  /** Its own clock minus the eclipse clock. */
  offsetMs: number;
  /** Since it was heard, seconds; null of one that is set aside and silent. */
  ageS: number | null;
  standing: "agrees" | "disagrees" | "outvoted" | "set aside";
}

export interface SourceStatus {
  id: string;
  kind: SourceKind;
  /** The source's UTC minus the eclipse clock; null when it has none to offer. */
  offsetMs: number | null;
  boundMs: number | null;
  /** Since it was last measured, seconds. */
  ageS: number | null;
  state: string;
  /** Technical, English. */
  detail: string;
}

/** A device's clock as it said: its own clock against the hub's, and its bound. */
export interface ClockSample {
  utcMs: number;
  deviceId: string;
  offsetMs: number;
  boundMs: number;
  delayMs: number;
}
