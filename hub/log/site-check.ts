/**
 * What is asked of a site's file before it is let in: that it is a site of ours, whole, not newer
 * than this program, and holds our tables exactly as we make them and nothing else. A trigger, a
 * view, another index, a table that lacks a column, a key or a check: each would change what
 * becomes of reports that were acknowledged. Never changes the file.
 *
 * Reads the whole file: not for the hub's own process while it runs (file-work.ts).
 */
import { closeSync, fstatSync, openSync, readSync } from "node:fs";
import Database from "better-sqlite3";
import { LogError } from "./event-log.ts";
import {
  APPLICATION_ID,
  checkVersion,
  expectedObjects,
  fileVersion,
  objectsOf,
  type SchemaObject,
} from "./schema.ts";
import { asLogError } from "./sqlite-errors.ts";

export interface SiteFileSummary {
  version: number;
  lastSeq: number;
  runs: number;
  /** When the newest event was logged; null without events. */
  newestUtcMs: number | null;
}

/** The largest plan that is taken has some 2 MB as an event. */
const MOST_CELL_BYTES = 8 * 1024 * 1024;
const MOST_ID_BYTES = 1000;

/**
 * Looks a file over. Throws LogError "corrupt", "newer" or "unwritable" (unreadable) with a
 * sentence for the person. `thorough` compares every index with its table, too.
 */
export function checkSiteFile(file: string, thorough = true): SiteFileSummary {
  checkHeader(file);
  return withDatabase(file, { readonly: true }, (db) => {
    const version = checkForm(db, file);
    const trouble = String(db.pragma(thorough ? "integrity_check(1)" : "quick_check(1)", { simple: true }));
    if (trouble !== "ok") throw damaged(file, oneLine(trouble));
    return summarise(db, file, version);
  });
}

/** Version and schema alone: what is looked at again just before a file is put in place. */
export function checkSiteForm(file: string): void {
  checkHeader(file);
  withDatabase(file, { readonly: true }, (db) => checkForm(db, file));
}

/** What SQLite says is wrong inside a file; null when nothing is. */
export function damageOf(file: string): string | null {
  try {
    return withDatabase(file, { readonly: true }, (db) => {
      const trouble = String(db.pragma("quick_check(1)", { simple: true }));
      return trouble === "ok" ? null : oneLine(trouble);
    });
  } catch (error) {
    if (error instanceof LogError && error.code === "corrupt") return error.message;
    throw error;
  }
}

export function withDatabase<T>(
  file: string,
  options: Database.Options,
  work: (db: Database.Database) => T,
): T {
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

export function damaged(file: string, detail: string): LogError {
  return new LogError("corrupt", `${file} is damaged: ${detail}.`);
}

/** The header string of every SQLite 3 file: sqlite.org/fileformat.html, 1.3. */
function checkHeader(file: string): void {
  const head = Buffer.alloc(18);
  let size: number;
  try {
    const handle = openSync(file, "r");
    try {
      readSync(handle, head, 0, head.length, 0);
      size = fstatSync(handle).size;
    } finally {
      closeSync(handle);
    }
  } catch (cause) {
    throw new LogError("unwritable", `${file} cannot be read: ${(cause as Error).message}`, { cause });
  }
  if (head.toString("latin1", 0, 16) !== "SQLite format 3\0") throw notASite(file);
  // The page size, 1.3.2: 1 stands for 65536. SQLite itself fills up a last page that was cut.
  const pageBytes = head.readUInt16BE(16) === 1 ? 65_536 : head.readUInt16BE(16);
  if (pageBytes > 0 && size % pageBytes !== 0) throw damaged(file, "it was cut short");
}

function checkForm(db: Database.Database, file: string): number {
  if (Number(db.pragma("application_id", { simple: true })) !== APPLICATION_ID) throw notASite(file);
  const version = fileVersion(db);
  checkVersion(version, file);
  if (version < 1) throw notASite(file);
  const found = objectsOf(db);
  const ours = expectedObjects(version);
  const named = ({ type, name, table }: SchemaObject): string => `${type} ${name} on ${table}`;
  const known = new Map(ours.map((object) => [named(object), object]));
  const strange = found.find((object) => !known.has(named(object)));
  if (strange) throw damaged(file, `it holds a ${strange.type} "${strange.name}", which a site does not`);
  const there = new Set(found.map(named));
  const lacking = ours.find((object) => !there.has(named(object)));
  if (lacking || found.length !== ours.length)
    throw damaged(
      file,
      `its ${lacking?.type ?? "list"} ${lacking?.name ?? "of tables"} is not as it should be`,
    );
  const changed = found.find((object) => object.sql !== known.get(named(object))?.sql);
  if (changed) throw damaged(file, `its ${changed.type} ${changed.name} is not made as a site's is`);
  return version;
}

function summarise(db: Database.Database, file: string, version: number): SiteFileSummary {
  checkSizes(db, file);
  const row = db
    .prepare(
      `SELECT COUNT(*) AS count, COALESCE(MIN(seq), 1) AS first, COALESCE(MAX(seq), 0) AS lastSeq,
         COUNT(DISTINCT run_id) AS runs, MAX(logged_utc_ms) AS newestUtcMs,
         COALESCE(SUM(${unreadable("payload")}), 0) AS unreadable FROM events`,
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
  const settings = db
    .prepare(`SELECT SUM(${unreadable("value")}) FROM settings`)
    .pluck()
    .get();
  if (Number(settings) > 0) throw damaged(file, "its settings cannot be read");
  const answers = db
    .prepare(
      `SELECT SUM(CASE WHEN ${unreadable("answer")} THEN 1 ELSE json_type(answer) <> 'object' END) FROM commands`,
    )
    .pluck()
    .get();
  if (Number(answers) > 0) throw damaged(file, "answers given to commands cannot be read");
  return { version, lastSeq: row.lastSeq, runs: row.runs, newestUtcMs: row.newestUtcMs };
}

/** SQLite heads what it found with the name of the database, on a line of its own. */
function oneLine(trouble: string): string {
  return trouble
    .replace(/^\*\*\*.*\*\*\*\s*/, "")
    .replace(/\s+/g, " ")
    .replace(/\.$/, "");
}

/** SQLite reads JSON up to a NUL, JavaScript does not. */
function unreadable(column: string): string {
  return `NOT json_valid(${column}) OR instr(${column}, char(0)) > 0`;
}

/** Before anything of it is read into memory. */
function checkSizes(db: Database.Database, file: string): void {
  const sizes: ReadonlyArray<readonly [table: string, column: string, most: number]> = [
    ["events", "payload", MOST_CELL_BYTES],
    ["commands", "answer", MOST_CELL_BYTES],
    ["commands", "sender", MOST_ID_BYTES],
    ["commands", "command_id", MOST_ID_BYTES],
    ["commands", "body_hash", MOST_ID_BYTES],
    ["settings", "value", MOST_CELL_BYTES],
    ["settings", "key", MOST_ID_BYTES],
    ["clock_samples", "device_id", MOST_ID_BYTES],
    ...["run_id", "type", "actor", "command_id", "device_id"].map(
      (column) => ["events", column, MOST_ID_BYTES] as const,
    ),
  ];
  for (const [table, column, most] of sizes) {
    const largest = db.prepare(`SELECT MAX(octet_length(${column})) FROM ${table}`).pluck().get();
    if (Number(largest ?? 0) > most) throw damaged(file, `a ${column} in its ${table} is far too large`);
  }
}

function notASite(file: string): LogError {
  return new LogError("corrupt", `${file} is not the file of a Noonfall site.`);
}
