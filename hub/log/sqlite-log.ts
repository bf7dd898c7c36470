/**
 * The event log in one SQLite file. Write-ahead log with synchronous FULL: a commit is on the
 * disk before `append` resolves, so what was acknowledged survives a kill and, as far as the disk
 * keeps its word, a power cut (sqlite.org/wal.html, pragma synchronous).
 *
 * Appends made in one turn of the event loop share one transaction: one sync for all of them.
 * The file is one process's own (site-folder.ts holds the lock), so what is here in memory
 * (the last seq) stays true.
 */
import { createHash, randomUUID } from "node:crypto";
import { closeSync, existsSync, openSync, renameSync, rmSync, statSync } from "node:fs";
import { dirname, join } from "node:path";
import Database from "better-sqlite3";
import type { UtcMs } from "../../shared/time/instants.ts";
import { checkEvent, checkNextSeq, duplicateCommand, entryError } from "./check-entry.ts";
import { fileStamp, moveDatabase, syncFile } from "./database-files.ts";
import {
  type AppendEntry,
  type ClockSampleRow,
  type CommandRecord,
  type EventLog,
  LogError,
  type LogFilter,
  type LoggedEvent,
} from "./event-log.ts";
import { payloadText } from "./payload-text.ts";
import { type Migration, migrate, migrations, TELLING, TELLING_FIELDS } from "./schema.ts";
import { asLogError, isEnvironment } from "./sqlite-errors.ts";

const READ_PAGE = 1000;
const SAMPLE_FLUSH_MS = 2000;
const PROOF_KEY = "local:proof";
const PROOF_BYTES = 64 * 1024;

interface SqliteLogOptions {
  /** Where a copy goes before a migration; by default beside the file. */
  backupFile?: (version: number) => string;
  migrations?: readonly Migration[];
  /** Called when the file had been deleted or replaced and was written anew. */
  onWrittenAnew?: () => void;
  /** Called once after the file is closed. */
  onClosed?: () => void;
  /** How the file is opened; for tests. */
  open?: (file: string) => Database.Database;
}

/**
 * Reports that come within so much of the last commit share the next one, ms: a commit costs a disk
 * more than what is in it. Whatever a lead orders waits for nothing and takes them along.
 */
const TOGETHER_MS = 30;

function isReport({ events }: AppendEntry): boolean {
  return events.length > 0 && events.every(({ type }) => type === "rigReported");
}

/** As a list: of a million events half the time to read goes into objects with names. */
type EventRow = [
  seq: number,
  runId: string,
  type: string,
  v: number,
  actor: string,
  commandId: string,
  observedUtcMs: UtcMs,
  boundMs: number | null,
  deviceId: string | null,
  deviceSeq: number | null,
  loggedUtcMs: UtcMs,
  payload: string,
];

/** `runId` and `type` are null where they are as expected. */
type StateRow = [
  seq: number,
  runId: string | null,
  type: string | null,
  v: number,
  actor: string,
  observedUtcMs: UtcMs,
  deviceId: string | null,
  deviceSeq: number | null,
  loggedUtcMs: UtcMs,
  payload: string,
];

const EVENT_COLUMNS = `seq, run_id, type, v, actor, command_id, observed_utc_ms, bound_ms, device_id,
  device_seq, logged_utc_ms, payload`;

interface Waiting {
  entry: AppendEntry;
  resolve: () => void;
  reject: (error: unknown) => void;
}

export class SqliteLog implements EventLog {
  readonly epoch: string;
  readonly file: string;
  #db: Database.Database;
  #statements: ReturnType<typeof prepare>;
  #own: OwnFiles;
  /** The file is gone: nothing is acknowledged until there is another. */
  #rescue: Promise<void> | undefined;
  #onGone: ((written: WrittenAnew) => void) | undefined;
  readonly #onWrittenAnew: () => void;
  readonly #onClosed: () => void;
  #lastSeq: number;
  #waiting: Waiting[] = [];
  #samples: ClockSampleRow[] = [];
  #sampleTimer: NodeJS.Timeout | undefined;
  /** When the next commit is due, where reports wait for each other; and when the last one was. */
  #soon: NodeJS.Timeout | undefined;
  #flushedAt = Number.NEGATIVE_INFINITY;
  /** Local settings that could not be written yet. */
  readonly #unwritten = new Map<string, { value: unknown }>();

  /** Opens or makes the file. Throws LogError. */
  constructor(file: string, options: SqliteLogOptions = {}) {
    this.file = file;
    this.#onClosed = options.onClosed ?? (() => {});
    this.#onWrittenAnew = options.onWrittenAnew ?? (() => {});
    const backupFile = options.backupFile ?? ((version) => `${file}.before-v${version + 1}`);
    mustBeWritable(file);
    let db: Database.Database | undefined;
    try {
      db = options.open?.(file) ?? new Database(file, { timeout: 2000 });
      makeDurable(db);
      migrate(db, file, backupFile, options.migrations ?? migrations);
      this.#db = db;
      this.#statements = prepare(db);
      this.#lastSeq = (this.#statements.lastSeq.get() as { seq: number | null }).seq ?? 0;
      this.epoch = this.#ownEpoch();
      this.#own = ownFiles(file);
    } catch (error) {
      db?.close();
      throw asLogError(error, file);
    }
  }

  /** How this connection writes, as SQLite says it: "wal" and 2 (FULL). */
  durability(): { journalMode: unknown; synchronous: unknown } {
    return {
      journalMode: this.#db.pragma("journal_mode", { simple: true }),
      synchronous: this.#db.pragma("synchronous", { simple: true }),
    };
  }

  lastSeq(): number {
    return this.#lastSeq;
  }

  append(entry: AppendEntry): Promise<void> {
    return new Promise((resolve, reject) => {
      if (!this.#db.open) {
        reject(new LogError("write-failed", "the log is closed"));
        return;
      }
      const first = this.#waiting.length === 0;
      this.#waiting.push({ entry, resolve, reject });
      const waitMs = isReport(entry) ? this.#flushedAt + TOGETHER_MS - performance.now() : 0;
      if (waitMs > 0) {
        if (first) this.#soon = setTimeout(() => this.#flush(), waitMs);
      } else if (first || this.#soon) {
        clearTimeout(this.#soon);
        this.#soon = undefined;
        setImmediate(() => this.#flush());
      }
    });
  }

  findCommand(sender: string, commandId: string): CommandRecord | undefined {
    const row = this.#statements.findCommand.get(sender, commandId) as
      | { bodyHash: string; answer: string }
      | undefined;
    return row && { sender, commandId, bodyHash: row.bodyHash, answer: JSON.parse(row.answer) as unknown };
  }

  *read(filter: LogFilter = {}): Generator<LoggedEvent> {
    // In pages: an open cursor would keep this connection from writing.
    const until = Math.min(this.#lastSeq, filter.untilSeq ?? Number.POSITIVE_INFINITY);
    const { readRun, readDecisions, readAll } = this.#statements;
    const { runId, practices = false } = filter;
    const { saying = [] } = filter;
    const told = saying.length > 0 && saying.every((field) => TELLING_FIELDS.includes(field));
    // What a payload that says a field has in it.
    const says = saying.map((field) => `"${field}":`);
    let after = filter.afterSeq ?? 0;
    let left = filter.limit ?? Number.POSITIVE_INFINITY;
    while (left > 0) {
      const size = Math.min(left, READ_PAGE);
      const rows = (
        runId === undefined && !practices
          ? readAll.all(after, until, size)
          : filter.withDecisions
            ? readDecisions(says.length, told).all(
                after,
                until,
                runId ?? "",
                practices ? "practice-%" : "",
                ...says,
                size,
              )
            : readRun.all(runId, after, until, size)
      ) as EventRow[];
      for (const row of rows) yield eventOf(row);
      const last = rows.at(-1);
      if (!last || rows.length < size) return;
      after = last[0];
      left -= rows.length;
    }
  }

  *readForState(afterSeq: number): Generator<LoggedEvent> {
    const until = this.#lastSeq;
    let after = afterSeq;
    // Most events are reports of one run: what is as in the row before comes as null, not as text.
    let runId = "";
    for (;;) {
      const rows = this.#statements.readForState.all(runId, after, until, READ_PAGE) as StateRow[];
      const reference = runId;
      for (const row of rows) {
        runId = row[1] ?? reference;
        yield {
          seq: row[0],
          runId,
          type: row[2] ?? "rigReported",
          v: row[3],
          actor: row[4],
          commandId: "",
          observedUtcMs: row[5],
          boundMs: null,
          deviceId: row[6],
          deviceSeq: row[7],
          loggedUtcMs: row[8],
          payload: JSON.parse(row[9]) as unknown,
        };
      }
      const last = rows.at(-1);
      if (!last || rows.length < READ_PAGE) return;
      after = last[0];
    }
  }

  loadSnapshot(evolveVersion: number): { seq: number; state: unknown } | undefined {
    const row = this.#statements.loadSnapshot.get(evolveVersion) as
      | { seq: number; state: string }
      | undefined;
    // Only a cache: what is not exactly as it was saved is made anew from the events.
    const mark = this.getSetting(snapshotMark(evolveVersion)) as
      | { seq?: unknown; sha256?: unknown }
      | undefined;
    const whole =
      row && mark?.seq === row.seq && row.seq <= this.#lastSeq && mark.sha256 === sha256(row.state);
    return whole ? { seq: row.seq, state: JSON.parse(row.state) as unknown } : undefined;
  }

  saveSnapshot(evolveVersion: number, seq: number, state: unknown): void {
    const text = JSON.stringify(state);
    this.#write(() => {
      this.#statements.saveSnapshot.run(evolveVersion, seq, text);
      const mark = JSON.stringify({ seq, sha256: sha256(text) });
      this.#statements.setSetting.run(snapshotMark(evolveVersion), mark);
    });
  }

  proveWritable(): void {
    const { setSetting, removeSetting } = this.#statements;
    this.#write(() => {
      // More than any report takes, in the file and in its write-ahead log.
      setSetting.run(PROOF_KEY, JSON.stringify("x".repeat(PROOF_BYTES)));
      removeSetting.run(PROOF_KEY);
    });
    this.#writeUnwritten();
  }

  getSetting(key: string): unknown {
    const unwritten = this.#unwritten.get(key);
    if (unwritten) return structuredClone(unwritten.value);
    const row = this.#statements.getSetting.get(key) as { value: string } | undefined;
    return row && (JSON.parse(row.value) as unknown);
  }

  setSetting(key: string, value: unknown): void {
    try {
      this.#write(() => {
        if (value === undefined) this.#statements.removeSetting.run(key);
        else this.#statements.setSetting.run(key, JSON.stringify(value));
      });
      this.#unwritten.delete(key);
    } catch (error) {
      if (!key.startsWith("local:")) throw error;
      this.#unwritten.set(key, { value: structuredClone(value) });
    }
  }

  #writeUnwritten(): void {
    for (const [key, { value }] of this.#unwritten) this.setSetting(key, value);
  }

  addClockSamples(rows: readonly ClockSampleRow[]): void {
    this.#samples.push(...rows);
    this.#sampleTimer ??= setTimeout(() => this.#flushSamplesQuietly(), SAMPLE_FLUSH_MS).unref();
  }

  readClockSamples(sinceUtcMs: number): ClockSampleRow[] {
    this.#flushSamplesQuietly();
    return this.#statements.readSamples.all(sinceUtcMs) as ClockSampleRow[];
  }

  /** Writes what waits to be written beside events, so that a copy of the file has it. */
  settle(): void {
    this.#write(() => this.#flushSamples());
  }

  async close(): Promise<void> {
    if (!this.#db.open) return;
    if (this.#waiting.length > 0) this.lookAfterFile();
    await this.#rescue;
    if (!this.#db.open) return;
    this.#flush(true);
    this.#flushSamplesQuietly();
    this.#writeUnwritten();
    this.#db.close();
    this.#onClosed();
  }

  /** Who is told when the file was deleted or replaced under this connection. */
  onGone(listener: (written: WrittenAnew) => void): void {
    this.#onGone = listener;
  }

  /**
   * Whether the file is still the one that is open. Where it is not, what the connection holds is
   * written to a new file in its place, and reports wait until that is done: what is written to a
   * file without a name is lost with this process.
   */
  lookAfterFile(): boolean {
    if (!this.#db.open) return true;
    if (this.#rescue) return false;
    if (isInPlace(this.file, this.#own)) return true;
    this.#rescue = this.#writeAnew()
      .then(
        () => this.#onGone?.({ file: this.file }),
        (error: unknown) => this.#onGone?.({ problem: String((error as Error).message ?? error) }),
      )
      .finally(() => {
        this.#rescue = undefined;
        this.#flush(true);
      });
    return false;
  }

  async #writeAnew(): Promise<void> {
    const partial = `${this.file}.partial`;
    this.#onWrittenAnew();
    rmSync(partial, { force: true });
    await this.#db.backup(partial, { progress: () => 500 });
    syncFile(partial);
    // In one go from here: nothing else may come between. Closing knows that its file is not there
    // any more and leaves alone what has its name (databaseIsUnmoved in SQLite's pager).
    this.#db.close();
    // What lies there is none of ours, and it is kept.
    moveDatabase(this.file, join(dirname(this.file), `found-${fileStamp()}.db`));
    renameSync(partial, this.file);
    const db = new Database(this.file, { timeout: 2000, fileMustExist: true });
    makeDurable(db);
    this.#db = db;
    this.#statements = prepare(db);
    this.setSetting("epoch", this.epoch);
    this.#own = ownFiles(this.file);
  }

  /** `anyway`: though the file is not in place and none could be written; better than nothing. */
  #flush(anyway = false): void {
    clearTimeout(this.#soon);
    this.#soon = undefined;
    if (this.#waiting.length === 0 || (!anyway && !this.lookAfterFile())) return;
    const batch = this.#waiting;
    this.#waiting = [];
    this.#flushedAt = performance.now();
    try {
      const outcomes = this.#commitTogether(batch) ?? this.#commitEach(batch);
      for (const [index, call] of batch.entries()) {
        const error = outcomes[index];
        if (error) call.reject(error);
        else call.resolve();
      }
    } catch (error) {
      const reason = asLogError(error, this.file);
      for (const call of batch) call.reject(reason);
    }
  }

  /** All in one go; undefined, with nothing written, when one of the entries cannot be. */
  #commitTogether(batch: readonly Waiting[]): (LogError | undefined)[] | undefined {
    try {
      this.#lastSeq = this.#commit(batch);
      return [];
    } catch (error) {
      if (isEnvironment(error)) throw error;
      return undefined;
    }
  }

  /** Each in a savepoint of its own, so that one that cannot be written costs the others nothing. */
  #commitEach(batch: readonly Waiting[]): (LogError | undefined)[] {
    const outcomes: (LogError | undefined)[] = [];
    this.#lastSeq = this.#db
      .transaction(() => {
        let last = this.#lastSeq;
        for (const { entry } of batch) {
          try {
            last = this.#db.transaction(() => this.#insert(entry, last))();
            outcomes.push(undefined);
          } catch (error) {
            if (isEnvironment(error)) throw error;
            outcomes.push(entryError(entry, asLogError(error, this.file)));
          }
        }
        this.#flushSamplesAside();
        return last;
      })
      .immediate();
    return outcomes;
  }

  #commit(batch: readonly Waiting[]): number {
    return this.#db
      .transaction(() => {
        let last = this.#lastSeq;
        for (const { entry } of batch) last = this.#insert(entry, last);
        this.#flushSamplesAside();
        return last;
      })
      .immediate();
  }

  #insert(entry: AppendEntry, lastSeq: number): number {
    const { insertCommand, insertEvent } = this.#statements;
    const answer = JSON.stringify(entry.answer ?? null);
    const { changes } = insertCommand.run(entry.sender, entry.commandId, entry.bodyHash, answer);
    if (changes === 0) throw duplicateCommand(entry);
    let last = lastSeq;
    for (const event of entry.events) {
      checkNextSeq(event.seq, last);
      checkEvent(event);
      insertEvent.run({ ...event, payload: payloadText(event.payload) });
      last = event.seq;
    }
    return last;
  }

  #flushSamples(): void {
    for (const row of this.#samples) this.#statements.insertSample.run(row);
    this.#samples = [];
    clearTimeout(this.#sampleTimer);
    this.#sampleTimer = undefined;
  }

  /** Beside events: samples that cannot be written are let go, for them alone nothing is refused. */
  #flushSamplesAside(): void {
    if (this.#samples.length === 0) return;
    try {
      this.#db.transaction(() => this.#flushSamples())();
    } catch (error) {
      if (isEnvironment(error)) throw error;
      this.#samples = [];
    }
  }

  /** Samples are not worth stopping for: a full disk is told by the next append. */
  #flushSamplesQuietly(): void {
    try {
      this.#db.transaction(() => this.#flushSamples()).immediate();
    } catch {
      this.#samples = [];
      this.#sampleTimer = undefined;
    }
  }

  #write(work: () => void): void {
    try {
      this.#db.transaction(work).immediate();
    } catch (error) {
      throw asLogError(error, this.file);
    }
  }

  #ownEpoch(): string {
    const known = this.getSetting("epoch");
    const epoch = typeof known === "string" ? known : randomUUID();
    // Written anew each time: SQLite opens a file that may only be read without a word, and would
    // fail at the first report.
    this.setSetting("epoch", epoch);
    return epoch;
  }
}

/**
 * Before SQLite sees a file that may only be read: it would put files beside it that may only be
 * read, too, and that stay in the way when the file's own mode has been mended.
 */
function mustBeWritable(file: string): void {
  if (!existsSync(file)) return;
  try {
    closeSync(openSync(file, "r+"));
  } catch (cause) {
    const code = (cause as NodeJS.ErrnoException).code ?? "";
    if (!["EACCES", "EPERM", "EROFS"].includes(code)) return; // SQLite says it better.
    throw new LogError("unwritable", `${file} may not be written (${code})`, { cause });
  }
}

function snapshotMark(evolveVersion: number): string {
  return `snapshot:${evolveVersion}`;
}

function sha256(text: string): string {
  return createHash("sha256").update(text).digest("hex");
}

/** Where the new file is, or why there is none. */
interface WrittenAnew {
  file?: string;
  problem?: string;
}

/** What the open file and its write-ahead log are to the system. */
interface OwnFiles {
  main: string | undefined;
  wal: string | undefined;
}

function ownFiles(file: string): OwnFiles {
  return { main: identity(file), wal: identity(`${file}-wal`) };
}

function isInPlace(file: string, own: OwnFiles): boolean {
  return identity(file) === own.main && identity(`${file}-wal`) === own.wal;
}

/** Undefined where there is no such file; where the system does not say, always the same. */
function identity(file: string): string | undefined {
  try {
    const { dev, ino } = statSync(file, { bigint: true });
    return `${dev} ${ino}`;
  } catch (error) {
    return (error as NodeJS.ErrnoException).code === "ENOENT" ? undefined : "unknown";
  }
}

function makeDurable(db: Database.Database): void {
  db.pragma("journal_mode = WAL");
  db.pragma("synchronous = FULL");
  db.pragma("trusted_schema = OFF");
}

function eventOf(row: EventRow): LoggedEvent {
  return {
    seq: row[0],
    runId: row[1],
    type: row[2],
    v: row[3],
    actor: row[4],
    commandId: row[5],
    observedUtcMs: row[6],
    boundMs: row[7],
    deviceId: row[8],
    deviceSeq: row[9],
    loggedUtcMs: row[10],
    payload: JSON.parse(row[11]) as unknown,
  };
}

/**
 * A run with what was decided in others, by how many fields are asked for; with none, all of its reports.
 * `told`: of fields that the file has an index of.
 */
function decisionsReader(db: Database.Database) {
  const made = new Map<string, Database.Statement>();
  return (fields: number, told: boolean): Database.Statement => {
    const key = `${fields} ${told}`;
    const known = made.get(key);
    if (known) return known;
    const says = Array.from({ length: fields }, () => "instr(payload, ?)").join(" OR ");
    const statement = db
      .prepare(`SELECT ${EVENT_COLUMNS} FROM events ${told ? `INDEXED BY events_telling WHERE ${TELLING} AND` : "WHERE"}
        seq > ? AND seq <= ? AND (type <> 'rigReported' OR (run_id = ? OR run_id LIKE ?)
          ${says && `AND (${says})`})
        ORDER BY seq LIMIT ?`)
      .raw();
    made.set(key, statement);
    return statement;
  };
}

function prepare(db: Database.Database) {
  return {
    lastSeq: db.prepare("SELECT MAX(seq) AS seq FROM events"),
    insertCommand: db.prepare(
      "INSERT INTO commands (sender, command_id, body_hash, answer) VALUES (?, ?, ?, ?) ON CONFLICT DO NOTHING",
    ),
    insertEvent: db.prepare(`INSERT INTO events
      (seq, run_id, type, v, actor, command_id, observed_utc_ms, bound_ms, device_id, device_seq,
       logged_utc_ms, payload)
      VALUES (@seq, @runId, @type, @v, @actor, @commandId, @observedUtcMs, @boundMs, @deviceId,
       @deviceSeq, @loggedUtcMs, @payload)`),
    findCommand: db.prepare(
      "SELECT body_hash AS bodyHash, answer FROM commands WHERE sender = ? AND command_id = ?",
    ),
    readAll: db
      .prepare(`SELECT ${EVENT_COLUMNS} FROM events WHERE seq > ? AND seq <= ? ORDER BY seq LIMIT ?`)
      .raw(),
    readRun: db
      .prepare(`SELECT ${EVENT_COLUMNS} FROM events INDEXED BY events_by_run
        WHERE run_id = ? AND seq > ? AND seq <= ? ORDER BY seq LIMIT ?`)
      .raw(),
    readDecisions: decisionsReader(db),
    readForState: db
      .prepare(`SELECT seq, NULLIF(run_id, ?), NULLIF(type, 'rigReported'), v, actor, observed_utc_ms,
        device_id, device_seq, logged_utc_ms, payload FROM events
        WHERE seq > ? AND seq <= ? ORDER BY seq LIMIT ?`)
      .raw(),
    loadSnapshot: db.prepare("SELECT seq, state FROM snapshots WHERE evolve_version = ?"),
    saveSnapshot: db.prepare(`INSERT INTO snapshots (evolve_version, seq, state) VALUES (?, ?, ?)
      ON CONFLICT DO UPDATE SET seq = excluded.seq, state = excluded.state`),
    getSetting: db.prepare("SELECT value FROM settings WHERE key = ?"),
    setSetting: db.prepare(`INSERT INTO settings (key, value) VALUES (?, ?)
      ON CONFLICT DO UPDATE SET value = excluded.value`),
    removeSetting: db.prepare("DELETE FROM settings WHERE key = ?"),
    insertSample: db.prepare(`INSERT INTO clock_samples (utc_ms, device_id, offset_ms, bound_ms, delay_ms)
      VALUES (@utcMs, @deviceId, @offsetMs, @boundMs, @delayMs)`),
    readSamples: db.prepare(`SELECT utc_ms AS utcMs, device_id AS deviceId, offset_ms AS offsetMs,
      bound_ms AS boundMs, delay_ms AS delayMs FROM clock_samples WHERE utc_ms >= ? ORDER BY utc_ms, rowid`),
  };
}
