/**
 * A site's folder inside the data folder: <data>/<site>/site.db and what belongs to it.
 *
 *   site.db              the log (with site.db-wal and site.db-shm while it is open)
 *   lock.db              held in an exclusive transaction by the hub that uses the folder; the
 *                        system lets go of it when that process ends, however it ends
 *   incoming.db          a checked site that takes the place of site.db at the next opening
 *   before-….db          what was there before a restore or a migration; never deleted by us
 *   known.json           says that there is a site here: an empty or vanished site.db is then no new one
 *   found-….db           what lay in the place of site.db when that was deleted under a running hub
 *   refused-….db         a restored site that the hub could not go on with
 *   ….partial            copies that were not finished; removed at the next opening
 */
import { existsSync, mkdirSync, readdirSync, renameSync, rmSync, statSync, writeFileSync } from "node:fs";
import { dirname, join } from "node:path";
import Database from "better-sqlite3";
import { fileStamp, moveDatabase } from "./database-files.ts";
import { LogError } from "./event-log.ts";
import type { Migration } from "./schema.ts";
import { checkSiteForm, type SiteFileSummary } from "./site-check.ts";
import { incomingFile, stageRestore } from "./site-file.ts";
import { asLogError } from "./sqlite-errors.ts";
import { SqliteLog } from "./sqlite-log.ts";

interface OpenLogOptions {
  migrations?: readonly Migration[];
  /** Stamps the names of backups; by default the time of day now. */
  nowIso?: () => string;
  /** Something that the person who started the hub should read. */
  onNote?: (sentence: string) => void;
  /** Begin anew though there was a site whose file has gone. */
  newSite?: boolean;
}

export function siteFolder(dataDir: string, siteName: string): string {
  return join(dataDir, siteName);
}

/**
 * Opens the log of a site ("site", or "demo" for the demo's own), making folder and file where
 * they are missing, and putting a staged restore in place first.
 * Throws LogError: "locked" (another hub has it), "unwritable", "corrupt", "newer".
 */
export function openLog(dataDir: string, siteName: string, options: OpenLogOptions = {}): SqliteLog {
  const folder = siteFolder(dataDir, siteName);
  makeFolder(folder);
  let lock = takeLock(folder);
  const stamp = fileStamp(options.nowIso?.());
  try {
    removePartials(folder);
    installIncoming(folder, stamp, options.onNote);
    if (!options.newSite) mustNotHaveVanished(folder);
    const log = new SqliteLog(join(folder, "site.db"), {
      ...(options.migrations && { migrations: options.migrations }),
      backupFile: (version) => join(folder, `before-v${version + 1}-${stamp}.db`),
      onWrittenAnew: () => {
        makeFolder(folder);
        // Deleted with the rest, it would not keep another hub out.
        if (!existsSync(join(folder, "lock.db"))) {
          lock.close();
          lock = takeLock(folder);
        }
      },
      onClosed: () => lock.close(),
    });
    noteKnown(folder, log.epoch);
    return log;
  } catch (error) {
    lock.close();
    throw error;
  }
}

function knownFile(folder: string): string {
  return join(folder, "known.json");
}

function noteKnown(folder: string, epoch: string): void {
  try {
    writeFileSync(knownFile(folder), `${JSON.stringify({ epoch })}\n`, { mode: 0o600 });
  } catch {
    // A full disk, or another user's file: the site itself opened, and that is what counts.
  }
}

/** Throws LogError "missing" where there was a site and its file is gone or empty. */
function mustNotHaveVanished(folder: string): void {
  const file = join(folder, "site.db");
  if (!existsSync(knownFile(folder))) return;
  const bytes = existsSync(file) ? statSync(file).size : -1;
  if (bytes > 0) return;
  const what = bytes < 0 ? "is gone" : "is empty";
  throw new LogError(
    "missing",
    `There was a site in ${folder}, and its file site.db ${what}. ` +
      "To begin a new site all the same: npm start -- --new-site",
  );
}

/**
 * Lays a copy ready to be the site at the next opening; what is there now is then kept. Rejects
 * with LogError and then has changed nothing.
 */
export async function restoreCopy(dataDir: string, siteName: string, file: string): Promise<SiteFileSummary> {
  const folder = siteFolder(dataDir, siteName);
  makeFolder(folder);
  const lock = takeLock(folder);
  try {
    removePartials(folder);
    return await stageRestore(folder, file);
  } finally {
    lock.close();
  }
}

function makeFolder(folder: string): void {
  try {
    // The site's secret is inside: nobody else needs to read it.
    makeFolders(folder);
  } catch (cause) {
    throw new LogError(
      "unwritable",
      `The data folder ${folder} cannot be made: ${(cause as Error).message}`,
      {
        cause,
      },
    );
  }
}

/** One by one: mkdir with `recursive` never returns where a system answers ENOENT, as /proc does. */
function makeFolders(folder: string): void {
  if (existsSync(folder)) return;
  const parent = dirname(folder);
  if (parent !== folder) makeFolders(parent);
  mkdirSync(folder, { mode: 0o700 });
}

function takeLock(folder: string): Database.Database {
  const file = join(folder, "lock.db");
  let lock: Database.Database | undefined;
  try {
    lock = new Database(file, { timeout: 0 });
    lock.exec("BEGIN EXCLUSIVE");
    return lock;
  } catch (cause) {
    lock?.close();
    const error = asLogError(cause, file);
    if (error instanceof LogError && error.code === "locked") {
      throw new LogError(
        "locked",
        `The data folder ${folder} is in use by another running hub. ` +
          "Stop that one, or start this one with another --data folder.",
        { cause },
      );
    }
    if (error instanceof LogError && error.code === "unwritable") {
      throw new LogError("unwritable", `The data folder ${folder} cannot be written.`, { cause });
    }
    throw error;
  }
}

/** What a hub that was killed had not finished: uploads, downloads, backups. They hold secrets. */
function removePartials(folder: string): void {
  for (const name of readdirSync(folder)) {
    if (/\.partial(-wal|-shm|-journal)?$/.test(name)) rmSync(join(folder, name), { force: true });
  }
}

/** Safe to be cut off anywhere: the next opening goes on where this one stopped. */
function installIncoming(folder: string, stamp: string, onNote: OpenLogOptions["onNote"]): void {
  const incoming = incomingFile(folder);
  if (!existsSync(incoming)) return;
  const backupName = `before-restore-${stamp}`;
  try {
    checkSiteForm(incoming);
  } catch (error) {
    // It was good when it was laid ready. The site that was here before goes on.
    const refused = join(folder, `refused-${stamp}.db`);
    renameSync(incoming, refused);
    onNote?.(`The restored site cannot be used, it is kept as ${refused}: ${(error as Error).message}`);
    return;
  }
  const current = join(folder, "site.db");
  try {
    mergeWriteAheadLog(current);
    moveDatabase(current, join(folder, `${backupName}.db`));
    renameSync(incoming, current);
  } catch (cause) {
    throw new LogError("unwritable", `The restored site could not be put in place: ${String(cause)}`, {
      cause,
    });
  }
}

/** Closing the last connection moves the write-ahead log into the file, so one file is moved. */
function mergeWriteAheadLog(file: string): void {
  if (!existsSync(file)) return;
  try {
    const db = new Database(file, { fileMustExist: true });
    try {
      db.pragma("wal_checkpoint(TRUNCATE)");
    } finally {
      db.close();
    }
  } catch {
    // Damaged: it is kept as it is, its write-ahead log with it.
  }
}

/**
 * Puts back what was there before the newest restore, and keeps the restored file as refused-….db.
 * Gives that file; undefined when there is nothing to put back.
 */
export function takeBackRestore(dataDir: string, siteName: string): string | undefined {
  const folder = siteFolder(dataDir, siteName);
  const before = readdirSync(folder)
    .filter((name) => /^before-restore-.*\.db$/.test(name))
    .sort()
    .at(-1);
  if (!before) return undefined;
  const current = join(folder, "site.db");
  const refused = join(folder, before.replace("before-restore-", "refused-"));
  mergeWriteAheadLog(current);
  moveDatabase(current, refused);
  moveDatabase(join(folder, before), current);
  return refused;
}
