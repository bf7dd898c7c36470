/**
 * The two kinds of work on a whole site file: a copy of the running one, and a foreign one made
 * ready. Both read or write everything: for file-work-main.ts, not for the hub's own process.
 */
import { randomUUID } from "node:crypto";
import { chmodSync } from "node:fs";
import Database from "better-sqlite3";
import type { SiteEvent } from "../../shared/run/events.ts";
import { fold } from "../../shared/run/evolve.ts";
import { EVOLVE_VERSION } from "../../shared/run/state.ts";
import { utcMs } from "../../shared/time/instants.ts";
import { filtersAskedAnew } from "./asked-anew.ts";
import { removeDatabase, syncFile } from "./database-files.ts";
import { readPinRecord, readSiteSecret } from "./kept-secrets.ts";
import { migrate } from "./schema.ts";
import { checkSiteFile, damaged, type SiteFileSummary, withDatabase } from "./site-check.ts";
import { tryOut } from "./site-trial.ts";
import { asLogError } from "./sqlite-errors.ts";
import { SqliteLog } from "./sqlite-log.ts";

/** Settings that stay on the machine they were made on: who is signed in. */
const DROP_LOCAL = "DELETE FROM settings WHERE key GLOB 'local:*'";

/**
 * Checks a file that lies in our own folder, tries it out, and makes it ready: without sessions and
 * saved states of where it comes from, in today's version, under a new epoch, and with the state
 * that its events make saved anew, so that the hub starts with it at once. Every filter is asked for
 * anew (asked-anew.ts).
 */
export async function prepareSite(file: string): Promise<SiteFileSummary> {
  const summary = checkSiteFile(file);
  // A name that a start clears away (site-folder.ts), should this be cut off.
  const older = `${file}-older.partial`;
  try {
    withDatabase(file, {}, (db) => {
      db.pragma("journal_mode = DELETE");
      migrate(db, file, () => older);
      db.exec(DROP_LOCAL);
      db.exec("DELETE FROM snapshots");
      settleSettings(db, file);
    });
  } finally {
    removeDatabase(older);
  }
  const log = new SqliteLog(file);
  try {
    let state = tryOut(file, log.read());
    const asked = filtersAskedAnew(state, utcMs(summary.newestUtcMs ?? 0));
    if (asked) {
      await log.append(asked);
      state = fold(state, asked.events as SiteEvent[]);
    }
    log.saveSnapshot(EVOLVE_VERSION, state.seq, state);
  } finally {
    await log.close();
  }
  withDatabase(file, {}, (db) => db.pragma("journal_mode = DELETE"));
  syncFile(file);
  return summary;
}

/** What the hub reads at its start. A PIN that cannot be one is taken out: a new one is made. */
function settleSettings(db: Database.Database, file: string): void {
  const read = (key: string): unknown => {
    const text = db.prepare("SELECT value FROM settings WHERE key = ?").pluck().get(key);
    return typeof text === "string" ? (JSON.parse(text) as unknown) : undefined;
  };
  const secret = read("siteSecret");
  if (secret !== undefined && !readSiteSecret(secret))
    throw damaged(file, "the secret that rigs' links hang on cannot be read");
  const pin = read("leadPin");
  if (pin !== undefined && !readPinRecord(pin)) db.exec("DELETE FROM settings WHERE key = 'leadPin'");
  db.prepare(
    "INSERT INTO settings (key, value) VALUES ('epoch', ?) ON CONFLICT DO UPDATE SET value = excluded.value",
  ).run(JSON.stringify(randomUUID()));
}

/** Of one instant, whatever the hub writes meanwhile: it is all read in one transaction. */
export async function copySite(from: string, to: string): Promise<SiteFileSummary> {
  removeDatabase(to);
  try {
    const db = new Database(from, { readonly: true, fileMustExist: true, timeout: 5000 });
    try {
      await db.backup(to, { progress: () => 0x7fffffff });
    } finally {
      db.close();
    }
    // The site's secret is inside: nobody else needs to read it, where the disk can tell people apart.
    chmodSync(to, 0o600);
    withDatabase(to, {}, (copy) => {
      copy.pragma("journal_mode = DELETE");
      copy.pragma("secure_delete = ON");
      copy.exec(DROP_LOCAL);
    });
    syncFile(to);
    return checkSiteFile(to, false);
  } catch (error) {
    removeDatabase(to);
    throw asLogError(error, to);
  }
}
