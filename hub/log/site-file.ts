/**
 * A site as one portable file: carried to a spare laptop, it goes on there.
 *
 * It is the SQLite file itself, copied while the hub runs on. It holds everything, the site's
 * secret and the lead's hashed PIN included, because the rigs' links must keep working: whoever
 * has the file can act as any rig, so it is handled like a key. Settings that begin with "local:"
 * (signed-in leads) are taken out and their bytes overwritten. A restored site gets a new epoch,
 * so that pages which knew the other copy start afresh instead of mixing the two.
 *
 * Copies that are not finished end in ".partial" and lie in the site's own folder, not where the
 * system keeps what is temporary: nobody else can read them there, and the next start removes them.
 */
import { randomUUID } from "node:crypto";
import { copyFile, rename, rm } from "node:fs/promises";
import { join } from "node:path";
import { LogError } from "./event-log.ts";
import { fileWork } from "./file-work.ts";
import type { SiteFileSummary } from "./site-check.ts";
import type { SqliteLog } from "./sqlite-log.ts";

/** A name in the folder for a copy that is not finished. */
export function partialFile(folder: string, what: "incoming" | "outgoing" | "backup"): string {
  return join(folder, `${what}-${randomUUID()}.partial`);
}

export async function removePartial(file: string): Promise<void> {
  for (const ending of ["", "-wal", "-shm", "-journal"]) await rm(file + ending, { force: true });
}

/** Writes the site to this file (replacing it whole or not at all). Rejects with LogError. */
export async function exportSite(
  log: SqliteLog,
  file: string,
  signal?: AbortSignal,
): Promise<SiteFileSummary> {
  const partial = `${file}.partial`;
  try {
    log.settle();
    const summary = await fileWork("copy", { from: log.file, to: partial }, { signal });
    await rename(partial, file);
    return summary;
  } finally {
    await removePartial(partial);
  }
}

/**
 * Looks a file over, tries it out and lays it ready in the site's folder; the next openLog puts it
 * in place and keeps what was there as before-restore-….db. Rejects with LogError and then has
 * changed nothing. `file` may be a partial file of the folder itself: it is then used up.
 */
export async function stageRestore(folder: string, file: string): Promise<SiteFileSummary> {
  const partial = partialFile(folder, "incoming");
  try {
    if (file.endsWith(".partial")) await rename(file, partial);
    else await copyFile(file, partial);
    const summary = await fileWork("prepare", { file: partial });
    await rename(partial, incomingFile(folder));
    return summary;
  } catch (cause) {
    if (cause instanceof LogError) {
      throw new LogError(cause.code, cause.message.replaceAll(partial, file), { cause });
    }
    const what = (cause as NodeJS.ErrnoException).path === file ? "be read" : `be laid ready in ${folder}`;
    throw new LogError("unwritable", `${file} cannot ${what}: ${(cause as Error).message}`, { cause });
  } finally {
    await removePartial(partial);
  }
}

/** A checked site that takes the place of site.db at the next opening. */
export function incomingFile(folder: string): string {
  return join(folder, "incoming.db");
}
