/** What SQLite's result codes mean to the person who runs the hub (sqlite.org/rescode.html). */
import Database from "better-sqlite3";
import { LogError, type LogErrorCode } from "./event-log.ts";

const CODES: ReadonlyArray<readonly [prefix: string, code: LogErrorCode, meaning: string]> = [
  ["SQLITE_BUSY", "locked", "is in use by another program"],
  ["SQLITE_LOCKED", "locked", "is in use by another program"],
  ["SQLITE_CORRUPT", "corrupt", "is damaged"],
  ["SQLITE_NOTADB", "corrupt", "is not a database"],
  ["SQLITE_READONLY", "unwritable", "may not be written"],
  ["SQLITE_CANTOPEN", "unwritable", "cannot be opened"],
  ["SQLITE_PERM", "unwritable", "may not be written"],
  ["SQLITE_FULL", "full", "cannot grow: the disk is full"],
  ["SQLITE_IOERR", "write-failed", "could not be read or written"],
];

/** Whether it is the file or the disk that fails, and not what was to be written. */
export function isEnvironment(error: unknown): boolean {
  return error instanceof Database.SqliteError && CODES.some(([prefix]) => error.code.startsWith(prefix));
}

/** A LogError that says what is wrong with this file; other errors come back as they are. */
export function asLogError(error: unknown, file: string): unknown {
  if (!(error instanceof Database.SqliteError)) return error;
  const known = CODES.find(([prefix]) => error.code.startsWith(prefix));
  if (!known) {
    return new LogError("write-failed", `${file}: ${error.message} (${error.code})`, { cause: error });
  }
  const [, code, meaning] = known;
  return new LogError(code, `${file} ${meaning} (${error.code})`, { cause: error });
}
