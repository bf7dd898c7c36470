/**
 * Backups by rotation at a second place that the lead chose, a stick most likely: every few minutes
 * a consistent copy, read through before it counts, the oldest removed. A place that is missing or
 * full is a caution for the lead and is tried again; the hub itself never waits for it.
 *
 * Nothing but files of its own names is touched there. The folder must exist: one that was made
 * under the mount point of a missing stick would be a backup on the same disk.
 */
import { readdirSync, rmSync } from "node:fs";
import { stat } from "node:fs/promises";
import { join } from "node:path";
import { fileStamp } from "./database-files.ts";
import { freeBytes } from "./disk-space.ts";
import { LogError } from "./event-log.ts";
import type { HubHealth } from "./hub-health.ts";
import { exportSite } from "./site-file.ts";
import type { SqliteLog } from "./sqlite-log.ts";

const EVERY_MS = 3 * 60_000;
const FIRST_AFTER_MS = 2000;
const KEEP = 10;
/** Where room is scarce at least so many are kept. */
const KEEP_LEAST = 2;

interface BackupOptions {
  dir: string;
  siteName: string;
  log: SqliteLog;
  health: HubHealth;
  nowIso?: () => string;
  everyMs?: number;
  keep?: number;
}

export class Backups {
  private timer: NodeJS.Timeout | undefined;
  private underWay: Promise<void> | undefined;
  private newest: { seq: number; name: string } | undefined;
  private device: number | undefined;
  private readonly stopping = new AbortController();

  constructor(private readonly options: BackupOptions) {}

  start(): void {
    const { everyMs = EVERY_MS } = this.options;
    const next = (afterMs: number): void => {
      this.timer = setTimeout(() => {
        void this.run().finally(() => {
          if (!this.stopping.signal.aborted) next(everyMs);
        });
      }, afterMs).unref();
    };
    next(Math.min(FIRST_AFTER_MS, everyMs));
  }

  /** Makes one now unless nothing was logged since the last. Never rejects. */
  run(): Promise<void> {
    this.underWay ??= this.backUp().finally(() => {
      this.underWay = undefined;
    });
    return this.underWay;
  }

  /** Work under way is given up: the hub's end does not wait for a stick. */
  stop(): void {
    this.stopping.abort();
    clearTimeout(this.timer);
  }

  private async backUp(): Promise<void> {
    const { dir, siteName, log, health } = this.options;
    try {
      await this.checkPlace();
      const seq = log.lastSeq();
      if (this.newest?.seq === seq && readdirSync(dir).includes(this.newest.name)) return;
      await this.makeRoom((await stat(log.file)).size);
      const stamp = fileStamp(this.options.nowIso?.());
      const name = `noonfall-${siteName}-${stamp}.site`;
      await exportSite(log, join(dir, name), this.stopping.signal);
      this.newest = { seq, name };
      this.prune(this.options.keep ?? KEEP);
      health.clear("backup-missing");
    } catch (error) {
      if (this.stopping.signal.aborted) return;
      const why = (error as Error).message;
      health.raise(
        "backup-missing",
        new LogError("unwritable", `No backup could be written to ${dir}: ${why}`, { cause: error }),
      );
    }
  }

  private async checkPlace(): Promise<void> {
    const { dir, siteName } = this.options;
    const found = await stat(dir).catch(() => undefined);
    if (!found?.isDirectory()) throw new Error("the folder is not there");
    this.device ??= found.dev;
    // The same path on another disk: the stick was pulled out and its mount point is left.
    if (found.dev !== this.device) throw new Error("it is not the disk that it was");
    for (const name of readdirSync(dir)) {
      if (isBackupName(name.replace(/\.partial.*$/, ""), siteName) && name.includes(".partial"))
        rmSync(join(dir, name), { force: true });
    }
  }

  private async makeRoom(bytes: number): Promise<void> {
    const { dir } = this.options;
    const needed = bytes * 1.2 + 1e6;
    if ((await freeBytes(dir)) >= needed) return;
    this.prune(KEEP_LEAST);
    const free = await freeBytes(dir);
    if (free < needed) throw new Error(`${Math.ceil((needed - free) / 1e6)} MB more must be free there`);
  }

  private prune(keep: number): void {
    const { dir, siteName } = this.options;
    const names = readdirSync(dir)
      .filter((name) => isBackupName(name, siteName))
      .sort();
    for (const name of names.slice(0, Math.max(0, names.length - keep)))
      rmSync(join(dir, name), { force: true });
  }
}

/** Names sort by when they were made. */
export function isBackupName(name: string, siteName: string): boolean {
  return (
    name.startsWith(`noonfall-${siteName}-`) && /-\d{4}-\d\d-\d\dT\d\d-\d\d-\d\d-\d{3}Z\.site$/.test(name)
  );
}
