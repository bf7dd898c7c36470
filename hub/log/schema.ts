/**
 * The tables of a site's file, and how an older file becomes a newer one. PRAGMA user_version
 * counts the migrations done; PRAGMA application_id marks the file as ours (sqlite.org/pragma.html).
 * A file with events in it is copied aside before it is migrated.
 */
import { rmSync } from "node:fs";
import Database from "better-sqlite3";
import { LogError } from "./event-log.ts";

/** "NOON" in ASCII. */
export const APPLICATION_ID = 0x4e4f4f4e;

export type Migration = (db: Database.Database) => void;

/** Fields of reports that the debrief and the evening read a whole log for. */
export const TELLING_FIELDS: readonly string[] = [
  "filter",
  "cueDone",
  "cueSkipped",
  "cueReopened",
  "frames",
  "lastFrameUtcMs",
];
/** Where a report may say one of them: among a million reports they are found by an index, by these very words. */
export const TELLING = `(type <> 'rigReported' OR instr(payload, '"filter":') OR instr(payload, '"cue')
  OR instr(payload, '"frames":') OR instr(payload, '"lastFrameUtcMs":'))`;

/** migrations[n] takes a file from version n to n + 1. Never change one that has been released. */
export const migrations: readonly Migration[] = [
  (db) =>
    db.exec(`
      CREATE TABLE events (
        seq INTEGER PRIMARY KEY,
        run_id TEXT NOT NULL,
        type TEXT NOT NULL,
        v INTEGER NOT NULL,
        actor TEXT NOT NULL,
        command_id TEXT NOT NULL,
        observed_utc_ms REAL NOT NULL,
        bound_ms REAL,
        device_id TEXT,
        device_seq INTEGER,
        logged_utc_ms REAL NOT NULL,
        payload TEXT NOT NULL
      ) STRICT;
      CREATE INDEX events_by_run ON events (run_id);
      CREATE TABLE commands (
        sender TEXT NOT NULL,
        command_id TEXT NOT NULL,
        body_hash TEXT NOT NULL,
        answer TEXT NOT NULL,
        PRIMARY KEY (sender, command_id)
      ) STRICT, WITHOUT ROWID;
      CREATE TABLE snapshots (
        evolve_version INTEGER PRIMARY KEY,
        seq INTEGER NOT NULL,
        state TEXT NOT NULL
      ) STRICT;
      CREATE TABLE settings (
        key TEXT PRIMARY KEY,
        value TEXT NOT NULL
      ) STRICT, WITHOUT ROWID;
      CREATE TABLE clock_samples (
        utc_ms REAL NOT NULL,
        device_id TEXT NOT NULL,
        offset_ms REAL NOT NULL,
        bound_ms REAL NOT NULL,
        delay_ms REAL NOT NULL
      ) STRICT;
      CREATE INDEX clock_samples_by_time ON clock_samples (utc_ms);
    `),
  // Partial: a third of a debrief's time was looking for these words in every report.
  (db) =>
    db.exec(`
      CREATE INDEX events_telling ON events (seq)
        WHERE (type <> 'rigReported' OR instr(payload, '"filter":') OR instr(payload, '"cue')
          OR instr(payload, '"frames":') OR instr(payload, '"lastFrameUtcMs":'));
    `),
];

/** One thing that a database holds: a table, an index, a trigger, a view. */
export interface SchemaObject {
  type: string;
  name: string;
  table: string;
  /** As it was made, in one line; null for an index that a table brings by itself. */
  sql: string | null;
}

/** What a file of this version holds: all of it, and nothing else. */
export function expectedObjects(version: number, steps: readonly Migration[] = migrations): SchemaObject[] {
  const db = new Database(":memory:");
  try {
    for (const step of steps.slice(0, version)) step(db);
    return objectsOf(db);
  } finally {
    db.close();
  }
}

/** Everything in the file's own list, SQLite's internal entries included (sqlite.org/schematab.html). */
export function objectsOf(db: Database.Database): SchemaObject[] {
  const rows = db
    .prepare("SELECT type, name, tbl_name AS 'table', sql FROM sqlite_schema ORDER BY type, name, tbl_name")
    .all() as SchemaObject[];
  return rows.map((row) => ({ ...row, sql: row.sql === null ? null : row.sql.replace(/\s+/g, " ").trim() }));
}

export function fileVersion(db: Database.Database): number {
  return Number(db.pragma("user_version", { simple: true }));
}

/**
 * Brings the file to the newest version. Before that, a file that holds something is copied to
 * backupFile(version). Throws LogError "newer" or "corrupt" and then has changed nothing.
 */
export function migrate(
  db: Database.Database,
  file: string,
  backupFile: (version: number) => string,
  steps: readonly Migration[] = migrations,
): void {
  const version = fileVersion(db);
  if (version === steps.length) return;
  checkVersion(version, file, steps.length);
  const hasTables = db.prepare("SELECT 1 FROM sqlite_schema LIMIT 1").get() !== undefined;
  if (version === 0 && hasTables) {
    throw new LogError("corrupt", `${file} is a database of another program`);
  }
  if (hasTables) {
    const backup = backupFile(version);
    rmSync(backup, { force: true });
    db.prepare("VACUUM INTO ?").run(backup);
  }
  db.transaction(() => {
    for (const step of steps.slice(version)) step(db);
    db.pragma(`application_id = ${APPLICATION_ID}`);
    db.pragma(`user_version = ${steps.length}`);
  }).exclusive();
}

/** Throws LogError "newer" when the file was written by a later release. */
export function checkVersion(version: number, file: string, newest = migrations.length): void {
  if (version > newest) {
    throw new LogError(
      "newer",
      `${file} was written by a newer Noonfall (version ${version} of the file; ` +
        `this one knows up to ${newest}). Start the newer Noonfall, or choose another data folder.`,
    );
  }
}
