/**
 * What a site's file knows that images are placed by. The file is only read: a copy of it, as it is at
 * one instant, is checked and brought to today's version as for a hub (hub/log/site-prepare.ts), read
 * through, and deleted. So it may be that of a hub that runs.
 */
import { existsSync, mkdtempSync, rmSync, statSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { type Knowledge, KnowledgeFold } from "../../shared/images/place/knowledge.ts";
import { upcast } from "../../shared/run/upcasts.ts";
import { LogError } from "../log/event-log.ts";
import { copySite, prepareSite } from "../log/site-prepare.ts";
import { SqliteLog } from "../log/sqlite-log.ts";
import { AfterError } from "./options.ts";

export async function siteKnowledge(file: string): Promise<Knowledge> {
  if (!existsSync(file)) throw new AfterError(`--site: there is no file ${file}.`);
  if (!statSync(file).isFile()) throw new AfterError(`--site: ${file} is no file.`);
  const folder = mkdtempSync(join(tmpdir(), "noonfall-after-"));
  try {
    const copy = join(folder, "site.db");
    await copySite(file, copy);
    await prepareSite(copy);
    const log = new SqliteLog(copy);
    try {
      const fold = new KnowledgeFold();
      for (const event of log.read()) fold.take(upcast(event));
      const known = fold.knowledge();
      if (!known) throw new AfterError(`--site: ${file} knows no run.`);
      return known;
    } finally {
      await log.close();
    }
  } catch (error) {
    if (!(error instanceof LogError)) throw error;
    throw new AfterError(`--site: ${error.message.replaceAll(join(folder, "site.db"), file)}`, {
      cause: error,
    });
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}
