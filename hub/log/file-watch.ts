/**
 * Watches over the site's own file while the hub runs: that it is still the file that is open, and,
 * at the start and in quiet hours, that it is whole inside.
 */

import { LogError } from "./event-log.ts";
import { fileWork } from "./file-work.ts";
import type { HubHealth } from "./hub-health.ts";
import type { SqliteLog } from "./sqlite-log.ts";

const LOOK_MS = 1000;
const READ_FIRST_MS = 1000;
const READ_EVERY_MS = 6 * 3_600_000;
/** What takes longer than this to read is read another time. */
const READ_LIMIT_MS = 5 * 60_000;

interface FileWatchOptions {
  log: SqliteLog;
  health: HubHealth;
  /** Whether the hub has better things to do: around a real run. */
  busy: () => boolean;
  /** What the person at the laptop can do about a damaged file. */
  copies: () => string;
}

export class FileWatch {
  private looking: NodeJS.Timeout | undefined;
  private reading: NodeJS.Timeout | undefined;
  private readonly stopping = new AbortController();

  constructor(private readonly options: FileWatchOptions) {}

  start(): void {
    const { log, health } = this.options;
    log.onGone((written) => {
      const where = written.file
        ? `a new one was written: ${written.file}`
        : `none could be written: ${written.problem}`;
      health.raise(
        "file-gone",
        new LogError(
          "missing",
          `The site's file ${log.file} was deleted or replaced under the running hub; ${where}.`,
        ),
      );
    });
    this.looking = setInterval(() => log.lookAfterFile(), LOOK_MS).unref();
    this.reading = setTimeout(() => void this.readAll(true), READ_FIRST_MS).unref();
  }

  private async readAll(first = false): Promise<void> {
    const { log, busy } = this.options;
    if (first || !busy()) await this.readThrough(log.file);
    if (this.stopping.signal.aborted) return;
    this.reading = setTimeout(() => void this.readAll(), READ_EVERY_MS).unref();
  }

  /** Never rejects: a file that cannot be read through for want of time or rights is not called damaged. */
  async readThrough(file: string): Promise<void> {
    let trouble: string | null;
    try {
      trouble = await fileWork("damage", { file }, { limitMs: READ_LIMIT_MS, signal: this.stopping.signal });
    } catch {
      return;
    }
    if (trouble === null) return;
    const sentence = `The site's file ${file} is damaged: ${trouble}.\n${this.options.copies()}`;
    this.options.health.raise("file-damaged", new LogError("corrupt", sentence));
  }

  stop(): void {
    this.stopping.abort();
    clearInterval(this.looking);
    clearTimeout(this.reading);
  }
}
