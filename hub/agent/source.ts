/**
 * What reads one instrument, and what it reads it with. A source only ever reads; it bounds how long it
 * waits and how much it takes in, says once what changed, and never throws at whoever started it.
 */
import type { Instrument, InstrumentField } from "../../shared/run/facts/instrument-fields.ts";
import type { Report } from "../../shared/run/facts/report-schema.ts";

/** What an instrument can say: never what only people can. */
export type Saying = Pick<
  Report,
  InstrumentField | "filter" | "cardFreeGB" | "batteryPct" | "tracking" | "recording"
>;

export interface SourcePorts {
  /** Monotonic, ms. */
  mono(): number;
  /** The eclipse clock, ms; null while it was never set. */
  utcMs(): number | null;
  /** How far the eclipse clock may be from UTC, ms. */
  utcBoundMs(): number;
  /**
   * Takes what an instrument says now; only what differs goes any further.
   * @param device which of them, where there may be several of the kind
   */
  say(instrument: Instrument, saying: Saying, device?: string): void;
  /** A device of which something was said is not there, or not connected, any more. */
  forget(device: string): void;
  /** One plain line for the person at the computer. Said when something changes. */
  tell(line: string): void;
}

export interface Source {
  start(): void;
  /** Resolves when nothing of it is left. */
  stop(): Promise<void>;
}

/** The same sentence is told once, until another one is. */
export function tellChanges(tell: (line: string) => void): (line: string) => void {
  let last = "";
  return (line) => {
    if (line === last) return;
    last = line;
    tell(line);
  };
}

/** What a receiver says of UTC against the machine's monotonic clock, ms; null for nothing. */
export type SetOwnClock = (own: { utcMinusMonoMs: number; boundMs: number } | null) => void;
