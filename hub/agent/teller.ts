/**
 * Decides when what instruments say goes to the hub. Words and flags go at once; figures wait for each
 * other, a second where a cue hangs on them and some seconds else, so that twenty frames a second make
 * no more events than one. Away from the hub figures rest: nothing is lost by it, since the newest one
 * says all, and a day alone fills no outbox. Pure but for its state: time is an argument.
 *
 * In another run everything is said anew: what was said in a practice is gone with it. A word on a filter
 * is not: said again it would be newer than the look of whoever has looked since (S9), and an alarm that comes
 * back by itself is soon heard by nobody. It is said once a run, and again when it changes, or when another
 * device says it.
 */

import type { Instrument } from "../../shared/run/facts/instrument-fields.ts";
import { ALL_REPORTED, type Report } from "../../shared/run/facts/report-schema.ts";
import type { Saying } from "./source.ts";
import { Voices } from "./voices.ts";

/** Said again after so long, changed or not, ms: no word is older than that while its instrument is read. */
const AGAIN_MS = 10 * 60_000;
/** How long figures wait for each other, ms. */
const PACE_MS = { near: 1000, linked: 5000, alone: 60_000 } as const;

export type Pace = keyof typeof PACE_MS;

interface Known {
  values: Record<string, unknown>;
  /** Fields that the hub has not been told as they are now. */
  unsaid: Set<string>;
  /** One of them does not wait. */
  urgent: boolean;
  saidAtMono: number;
  /** When the instrument was read last. */
  heardAtMono: number;
  /** The word on the filter that was said last, by run. */
  filterSaid: Map<string, unknown>;
}

export class Teller {
  private readonly known = new Map<Instrument, Known>();
  private readonly voices = new Voices();
  private runId: string | null = null;

  /** `speed`: in tests, how many times as often as in the field. */
  constructor(private readonly speed = 1) {}

  /** `device`: which of several of that kind says it. */
  hear(instrument: Instrument, saying: Saying, mono: number, device = ""): void {
    const opens = this.voices.opens(saying, device);
    this.take(instrument, this.voices.hear(instrument, saying, device), mono);
    // News though the word of all of them stays the same: a look that came between is older.
    if (opens) this.known.get(instrument)?.unsaid.add("filter");
  }

  /** A device is not there any more. */
  forget(device: string, mono: number): void {
    for (const { instrument, saying } of this.voices.forget(device)) this.take(instrument, saying, mono);
  }

  private take(instrument: Instrument, saying: Saying, mono: number): void {
    const known: Known = this.known.get(instrument) ?? {
      values: {},
      unsaid: new Set(),
      urgent: false,
      saidAtMono: Number.NEGATIVE_INFINITY,
      heardAtMono: mono,
      filterSaid: new Map(),
    };
    known.heardAtMono = mono;
    this.known.set(instrument, known);
    for (const [field, value] of Object.entries(saying)) {
      if (value === undefined || known.values[field] === value) continue;
      known.urgent ||= !isFigure(field) || begins(field, known.values[field], value);
      known.values[field] = value;
      known.unsaid.add(field);
    }
  }

  /** What goes to the hub now; it counts as said. */
  due(mono: number, pace: Pace, runId: string): Report[] {
    if (this.runId !== runId) {
      this.runId = runId;
      for (const known of this.known.values()) sayAgain(known, runId);
    }
    const reports: Report[] = [];
    for (const [instrument, known] of this.known) {
      // Away from the hub nobody hears it: it would only wait.
      if (pace !== "alone" && mono - known.saidAtMono > AGAIN_MS && mono - known.heardAtMono < AGAIN_MS)
        sayAgain(known, runId);
      if (known.unsaid.size === 0) continue;
      if (!known.urgent && mono - known.saidAtMono < PACE_MS[pace] / this.speed) continue;
      const fields = [...known.unsaid].map((field) => [field, known.values[field]]);
      reports.push({ instrument, ...Object.fromEntries(fields) });
      if (known.unsaid.has("filter")) known.filterSaid.set(runId, known.values.filter);
      known.unsaid.clear();
      known.urgent = false;
      known.saidAtMono = mono;
    }
    return reports;
  }
}

function sayAgain(known: Known, runId: string): void {
  const { values, unsaid, filterSaid } = known;
  for (const field of Object.keys(values)) {
    if (field === "filter" && filterSaid.get(runId) === values.filter) continue;
    unsaid.add(field);
    known.urgent ||= !isFigure(field);
  }
}

/** A card that begins to fill, or ends: an alert hangs on it. */
function begins(field: string, before: unknown, now: unknown): boolean {
  return field === "fillsGBPerMin" && (now === 0) !== ((before ?? 0) === 0);
}

/** An exposure begins and ends as often as frames come. */
function isFigure(field: string): boolean {
  if (field === "exposing") return true;
  const { is } = (ALL_REPORTED as Record<string, { type: { is: string } }>)[field]?.type ?? { is: "" };
  return is === "number" || is === "time";
}
