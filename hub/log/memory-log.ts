/**
 * The event log in memory: for tests and rehearsals of other rooms. Behaves as the SQLite log
 * does, batching included, except that nothing outlives the process. Values go through JSON, so
 * that neither later changes to them nor types that JSON lacks get in.
 */
import { randomUUID } from "node:crypto";
import { checkEvent, checkNextSeq, duplicateCommand, entryError } from "./check-entry.ts";
import {
  type AppendEntry,
  type ClockSampleRow,
  type CommandRecord,
  type EventLog,
  LogError,
  type LogFilter,
  type LoggedEvent,
} from "./event-log.ts";

interface Waiting {
  entry: AppendEntry;
  resolve: () => void;
  reject: (error: LogError) => void;
}

export class MemoryLog implements EventLog {
  readonly epoch: string = randomUUID();
  readonly #events: LoggedEvent[] = [];
  readonly #commands = new Map<string, string>();
  readonly #snapshots = new Map<number, { seq: number; state: string }>();
  readonly #settings = new Map<string, string>();
  readonly #samples: ClockSampleRow[] = [];
  #waiting: Waiting[] = [];
  #closed = false;

  lastSeq(): number {
    return this.#events.length;
  }

  append(entry: AppendEntry): Promise<void> {
    return new Promise((resolve, reject) => {
      if (this.#closed) {
        reject(new LogError("write-failed", "the log is closed"));
        return;
      }
      if (this.#waiting.length === 0) setImmediate(() => this.#flush());
      this.#waiting.push({ entry, resolve, reject });
    });
  }

  findCommand(sender: string, commandId: string): CommandRecord | undefined {
    const found = this.#commands.get(commandKey(sender, commandId));
    return found === undefined ? undefined : (JSON.parse(found) as CommandRecord);
  }

  *read(filter: LogFilter = {}): Generator<LoggedEvent> {
    const until = Math.min(this.#events.length, filter.untilSeq ?? Number.POSITIVE_INFINITY);
    let left = filter.limit ?? Number.POSITIVE_INFINITY;
    for (let index = Math.max(0, filter.afterSeq ?? 0); index < until && left > 0; index++) {
      const event = this.#events[index];
      if (!event) continue;
      if (!isAsked(event, filter)) continue;
      left--;
      yield copy(event);
    }
  }

  *readForState(afterSeq: number): Generator<LoggedEvent> {
    for (const event of this.read({ afterSeq })) yield { ...event, commandId: "", boundMs: null };
  }

  loadSnapshot(evolveVersion: number): { seq: number; state: unknown } | undefined {
    const found = this.#snapshots.get(evolveVersion);
    return found && { seq: found.seq, state: JSON.parse(found.state) as unknown };
  }

  saveSnapshot(evolveVersion: number, seq: number, state: unknown): void {
    this.#snapshots.set(evolveVersion, { seq, state: JSON.stringify(state) });
  }

  proveWritable(): void {}

  getSetting(key: string): unknown {
    const found = this.#settings.get(key);
    return found === undefined ? undefined : (JSON.parse(found) as unknown);
  }

  setSetting(key: string, value: unknown): void {
    if (value === undefined) this.#settings.delete(key);
    else this.#settings.set(key, JSON.stringify(value));
  }

  addClockSamples(rows: readonly ClockSampleRow[]): void {
    this.#samples.push(...rows.map((row) => ({ ...row })));
  }

  readClockSamples(sinceUtcMs: number): ClockSampleRow[] {
    return this.#samples
      .filter((row) => row.utcMs >= sinceUtcMs)
      .map((row) => ({ ...row }))
      .sort((a, b) => a.utcMs - b.utcMs);
  }

  async close(): Promise<void> {
    this.#flush();
    this.#closed = true;
  }

  #flush(): void {
    const batch = this.#waiting;
    this.#waiting = [];
    for (const call of batch) {
      const before = this.#events.length;
      try {
        this.#insert(call.entry);
        call.resolve();
      } catch (error) {
        this.#events.length = before;
        call.reject(entryError(call.entry, error));
      }
    }
  }

  #insert(entry: AppendEntry): void {
    const key = commandKey(entry.sender, entry.commandId);
    if (this.#commands.has(key)) throw duplicateCommand(entry);
    const { events, ...record } = entry;
    for (const event of events) {
      checkNextSeq(event.seq, this.#events.length);
      checkEvent(event);
      this.#events.push(copy({ ...event, payload: event.payload ?? null }));
    }
    this.#commands.set(key, JSON.stringify({ ...record, answer: record.answer ?? null }));
  }
}

function commandKey(sender: string, commandId: string): string {
  return JSON.stringify([sender, commandId]);
}

function copy<T>(value: T): T {
  return JSON.parse(JSON.stringify(value)) as T;
}

function isAsked(event: LoggedEvent, { runId, practices, withDecisions, saying }: LogFilter): boolean {
  if (runId === undefined && !practices) return true;
  if (withDecisions && event.type !== "rigReported") return true;
  const ofRun = practices ? event.runId.startsWith("practice-") : event.runId === runId;
  const said =
    !withDecisions || !saying || saying.some((field) => Object.hasOwn(event.payload as object, field));
  return ofRun && said;
}
