/** What the hub's clock asks of the machine, and what a source of time reports. */
import { readFileSync } from "node:fs";
import { uptime } from "node:os";
import { type Clock, systemClock } from "../../shared/time/clock.ts";
import type { MonoMs } from "../../shared/time/instants.ts";

export interface HubClockPorts {
  clock: Clock;
  /** Milliseconds since the machine started, sleep included. */
  uptimeMs(): number;
  /** Steps in which uptimeMs advances, ms. */
  uptimeStepMs: number;
}

export type SourceKind = "gps" | "ntp" | "system" | "hand";

/** Plain keys; the pages put them into words. */
export type SourceState =
  | "inUse"
  | "good"
  | "waiting"
  | "unreachable"
  | "noFix"
  | "disagrees"
  | "stepped"
  | "unsynchronised"
  | "unknown"
  | "refused";

/** UTC − the hub's monotonic clock, in ms, as measured at `atMono`; |error| ≤ boundMs then. */
export interface OffsetEstimate {
  offsetMs: number;
  boundMs: number;
  atMono: MonoMs;
}

/** Where a GPS receiver says the site is. Height above the WGS 84 ellipsoid, m. */
export interface SiteFix {
  latDeg: number;
  lonDeg: number;
  heightM: number | null;
  /** Estimated horizontal error, m, or null when the receiver does not say. */
  errorM: number | null;
}

export interface SourceReport {
  id: string;
  kind: SourceKind;
  state: SourceState;
  /** Technical detail for the source table, English, e.g. "stratum 2, delay 23.1 ms". */
  detail: string;
  estimate?: OffsetEstimate | undefined;
  site?: SiteFix | undefined;
}

export interface TimeSource {
  readonly id: string;
  readonly kind: SourceKind;
  start(report: (r: SourceReport) => void): void;
  /** The monotonic clock stood still: offsets collected so far no longer go together. */
  machineSlept?(): void;
  stop(): void;
}

/** Growth of a bound with the age of its measurement: crystals are good to ±50 ppm (common practice). */
export const CRYSTAL_PPM = 50;

/** Clocks read within this are read at one instant, ms: well below what counts as a step. */
const TOGETHER_MS = 2;
const MOST_READINGS = 20;

/**
 * What `read` gives together with the monotonic clock just before it. A busy machine may put the
 * program aside between two clocks, which would look like a step of one against the other: then they
 * are read again, twenty times at most.
 */
export function readTogether<T>(clock: Clock, read: () => T): { mono: MonoMs; value: T } {
  for (let tries = 1; ; tries++) {
    const mono = clock.mono();
    const value = read();
    if (clock.mono() - mono < TOGETHER_MS || tries === MOST_READINGS) return { mono, value };
  }
}

/** The machine's own clocks. On Linux uptime is read to 10 ms, elsewhere as the system gives it. */
export function machinePorts(): HubClockPorts {
  const read = () => {
    try {
      const s = Number.parseFloat(readFileSync("/proc/uptime", "utf8"));
      if (Number.isFinite(s)) return s * 1000;
    } catch {
      // not Linux
    }
    return uptime() * 1000;
  };
  const first = read();
  return { clock: systemClock, uptimeMs: read, uptimeStepMs: first % 1000 === 0 ? 1000 : 20 };
}
