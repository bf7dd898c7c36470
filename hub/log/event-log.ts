/**
 * The port to the event log. Two implementations (memory-log.ts, sqlite-log.ts) answer to one
 * contract suite (tests/contract/event-log.ts).
 *
 * A command is written once: its sender and id are unique, its events and its answer are
 * committed together. `append` may batch several calls into one transaction; it resolves after
 * the commit and keeps the order of the calls.
 */
import type { EventDraft, LoggedEvent } from "../../shared/run/logged-event.ts";

export interface CommandRecord {
  sender: string;
  commandId: string;
  /** SHA-256 of the canonical body: the same id with another body is refused by the caller. */
  bodyHash: string;
  answer: unknown;
}

export interface AppendEntry extends CommandRecord {
  events: readonly LoggedEvent[];
}

export interface LogFilter {
  runId?: string;
  /** Instead of `runId`, with `withDecisions`: of every practice run. */
  practices?: boolean;
  /** With either: of other runs, too, what is no report (plans, calls, practices). */
  withDecisions?: boolean;
  /** With `withDecisions`: of reports only those that may say one of these. Others may come, too. */
  saying?: readonly string[];
  afterSeq?: number;
  /** The last that is looked at; where little of much is asked for, so that nobody waits for long. */
  untilSeq?: number;
  limit?: number;
}

export interface ClockSampleRow {
  utcMs: number;
  deviceId: string;
  offsetMs: number;
  boundMs: number;
  delayMs: number;
}

export interface EventLog {
  /** Identifies this site's log; a client that knows another one starts afresh. */
  readonly epoch: string;
  /** Highest sequence number committed; 0 when empty. */
  lastSeq(): number;
  /**
   * Commits. The events carry their seq, going on from lastSeq() and from the appends still under
   * way. Rejects with LogError, having written nothing of this entry. An entry that is itself at
   * fault ("bad-entry", "duplicate") is refused alone; those of the same batch whose numbers
   * counted on its events are "out-of-order" and may be numbered anew and appended again. When
   * nothing can be written ("write-failed" …) every append of the batch rejects with that.
   */
  append(entry: AppendEntry): Promise<void>;
  /** The record of a command already committed. */
  findCommand(sender: string, commandId: string): CommandRecord | undefined;
  /** In order of seq, up to what was committed when reading began; afterSeq itself is left out. */
  read(filter?: LogFilter): Iterable<LoggedEvent>;
  /**
   * The same for folding a state, quicker: without what no state hangs on (`commandId` is empty,
   * `boundMs` null).
   */
  readForState(afterSeq: number): Iterable<LoggedEvent>;
  /** The newest state saved under this evolve version, to start quickly. */
  loadSnapshot(evolveVersion: number): { seq: number; state: unknown } | undefined;
  saveSnapshot(evolveVersion: number, seq: number, state: unknown): void;
  /**
   * Small settings of the site that are not events: secrets, PIN hash, sessions. Any JSON value;
   * undefined removes. What is local and cannot be written now is kept in memory until it can be,
   * so that a lead gets in though the disk is full; for any other key LogError is thrown. Keys that begin with "local:" stay on this machine when the site is
   * exported (sessions of leads; see site-file.ts).
   */
  getSetting(key: string): unknown;
  setSetting(key: string, value: unknown): void;
  /**
   * Throws LogError when a report of usual size could not be written now. Leaves no trace but what
   * waited to be written.
   */
  proveWritable(): void;
  /** Kept for the debrief; the last two seconds of them may be lost in a crash. */
  addClockSamples(rows: readonly ClockSampleRow[]): void;
  /** In order of time, from this instant on. */
  readClockSamples(sinceUtcMs: number): ClockSampleRow[];
  /** Commits what is under way and lets go of the files. Later calls fail. */
  close(): Promise<void>;
}

export type LogErrorCode =
  | "locked"
  | "unwritable"
  | "corrupt"
  | "newer"
  | "missing"
  | "write-failed"
  | "full"
  | "bad-entry"
  | "duplicate"
  | "out-of-order";

/**
 * A broken environment (disk full, file unreadable, locked by another hub …). "bad-entry",
 * "duplicate" and "out-of-order" tell of a caller's mistake that the log caught before it was written.
 */
export class LogError extends Error {
  override name = "LogError";
  constructor(
    readonly code: LogErrorCode,
    message: string,
    options?: { cause?: unknown },
  ) {
    super(message, options);
  }
}

export type { EventDraft, LoggedEvent };
