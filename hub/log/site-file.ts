/**
 * A site as one portable file: carried to a spare laptop, it goes on there.
 *
 * It is the SQLite file itself, copied while the hub runs on. It holds everything, the site's
 * secret and the lead's hashed PIN included, because the rigs' links must keep working: whoever
 * has the file can act as any rig, so it is handled like a key. Settings that begin with "local:"
 * (signed-in leads) are taken out and their bytes overwritten. A restored site gets a new epoch,
 * so that pages which knew the other copy start afresh instead of mixing the two.
 */
import { randomUUID } from "node:crypto";
import { closeSync, copyFileSync, fsyncSync, openSync, readSync, renameSync, rmSync } from "node:fs";
import { join } from "node:path";
import Database from "better-sqlite3";
import { LogError } from "./event-log.ts";
import { APPLICATION_ID, checkVersion, EXPECTED_OBJECTS, fileVersion, migrations } from "./schema.ts";
import { asLogError } from "./sqlite-errors.ts";
import type { SqliteLog } from "./sqlite-log.ts";

export interface SiteFileSummary {
  version: number;
  lastSeq: number;
  runs: number;
  /** When the newest event was logged; null without events. */
  newestUtcMs: number | null;
}

/** Writes the site to this file (replacing it whole or not at all). Rejects with LogError. */
export async function exportSite(log: SqliteLog, file: string): Promise<void> {
  const partial = `${file}.partial`;
  removeDatabase(partial);
  try {
    await log.copyTo(partial);
    withDatabase(partial, {}, (db) => {
      db.pragma("journal_mode = DELETE");
      db.pragma("secure_delete = ON");
      db.prepare("DELETE FROM settings WHERE key GLOB 'local:*'").run();
    });
    syncFile(partial);
    renameSync(partial, file);
  } finally {
    removeDatabase(partial);
  }
}

/**
 * Looks a file over before it is let in: that it is a site of ours, whole, not newer than this
 * program, and holds nothing but our tables. Throws LogError "corrupt", "newer" or "unwritable"
 * (unreadable) with a sentence for the person; never changes the file.
 */
export function checkSiteFile(file: string): SiteFileSummary {
  checkHeader(file);
  return withDatabase(file, { readonly: true }, (db) => {
    if (Number(db.pragma("application_id", { simple: true })) !== APPLICATION_ID) throw notASite(file);
    const version = fileVersion(db);
    checkVersion(version, file);
    if (version < 1) throw notASite(file);
    checkObjects(db, file, version);
    const trouble = String(db.pragma("integrity_check(1)", { simple: true }));
    if (trouble !== "ok") throw damaged(file, trouble);
    return summarise(db, file, version);
  });
}

/**
 * Checks the file and lays it ready in the site's folder; the next openLog puts it in place and
 * keeps what was there as before-restore-….db. Throws LogError and then has changed nothing.
 */
export function stageRestore(folder: string, file: string): SiteFileSummary {
  const summary = checkSiteFile(file);
  const partial = join(folder, "incoming.partial");
  removeDatabase(partial);
  try {
    copyFileSync(file, partial);
    withDatabase(partial, {}, (db) => {
      db.pragma("journal_mode = DELETE");
      db.prepare("DELETE FROM settings WHERE key GLOB 'local:*'").run();
      db.prepare(
        "INSERT INTO settings (key, value) VALUES ('epoch', ?) ON CONFLICT DO UPDATE SET value = excluded.value",
      ).run(JSON.stringify(randomUUID()));
    });
    syncFile(partial);
    renameSync(partial, join(folder, "incoming.db"));
  } catch (cause) {
    if (cause instanceof LogError) throw cause;
    throw new LogError("unwritable", `The site could not be laid ready in ${folder}: ${String(cause)}`, {
      cause,
    });
  } finally {
    removeDatabase(partial);
  }
  return summary;
}

function checkHeader(file: string): void {
  const head = Buffer.alloc(16);
  try {
    const handle = openSync(file, "r");
    try {
      readSync(handle, head, 0, head.length, 0);
    } finally {
      closeSync(handle);
    }
  } catch (cause) {
    throw new LogError("unwritable", `${file} cannot be read: ${(cause as Error).message}`, { cause });
  }
  // The header string of every SQLite 3 file: sqlite.org/fileformat.html, 1.3.
  if (head.toString("latin1") !== "SQLite format 3\0") throw notASite(file);
}

function checkObjects(db: Database.Database, file: string, version: number): void {
  const objects = db
    .prepare("SELECT type || ' ' || name FROM sqlite_schema WHERE name NOT LIKE 'sqlite_%' ORDER BY 1")
    .pluck()
    .all() as string[];
  const strange = objects.filter((object) => !EXPECTED_OBJECTS.includes(object));
  const lacking = EXPECTED_OBJECTS.filter((object) => !objects.includes(object));
  // A file of an older version may lack what a migration will add.
  if (strange.length > 0) throw damaged(file, `it holds ${strange.join(", ")}, which a site does not`);
  if (lacking.length > 0 && version === migrations.length) throw damaged(file, `no ${lacking.join(", ")}`);
}

function summarise(db: Database.Database, file: string, version: number): SiteFileSummary {
  const row = db
    .prepare(
      `SELECT COUNT(*) AS count, COALESCE(MIN(seq), 1) AS first, COALESCE(MAX(seq), 0) AS lastSeq,
         COUNT(DISTINCT run_id) AS runs, MAX(logged_utc_ms) AS newestUtcMs,
         COALESCE(SUM(NOT json_valid(payload)), 0) AS unreadable FROM events`,
    )
    .get() as {
    count: number;
    first: number;
    lastSeq: number;
    runs: number;
    newestUtcMs: number | null;
    unreadable: number;
  };
  if (row.first !== 1 || row.count !== row.lastSeq) throw damaged(file, "events are missing from it");
  if (row.unreadable > 0) throw damaged(file, `${row.unreadable} of its events cannot be read`);
  const settings = db.prepare("SELECT SUM(NOT json_valid(value)) FROM settings").pluck().get();
  if (Number(settings) > 0) throw damaged(file, "its settings cannot be read");
  return { version, lastSeq: row.lastSeq, runs: row.runs, newestUtcMs: row.newestUtcMs };
}

function withDatabase<T>(file: string, options: Database.Options, work: (db: Database.Database) => T): T {
  let db: Database.Database | undefined;
  try {
    db = new Database(file, { ...options, fileMustExist: true, timeout: 1000 });
    db.pragma("trusted_schema = OFF");
    return work(db);
  } catch (error) {
    throw asLogError(error, file);
  } finally {
    db?.close();
  }
}

function notASite(file: string): LogError {
  return new LogError("corrupt", `${file} is not the file of a Noonfall site.`);
}

function damaged(file: string, detail: string): LogError {
  return new LogError("corrupt", `${file} is damaged: ${detail}.`);
}

function syncFile(file: string): void {
  const handle = openSync(file, "r+");
  try {
    fsyncSync(handle);
  } finally {
    closeSync(handle);
  }
}

function removeDatabase(file: string): void {
  for (const ending of ["", "-wal", "-shm", "-journal"]) rmSync(file + ending, { force: true });
}
