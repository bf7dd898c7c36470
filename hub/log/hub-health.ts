/**
 * What the hub knows of its own disk, file and backups, as alerts for the lead. While the log
 * cannot be written it tries by itself every few seconds, so that the alert ends when there is
 * room again though nobody reports anything.
 */
import type { StandingAlert } from "../../shared/run/alerts/alerts.ts";
import { HUB_ALERTS, type HubCause } from "../../shared/run/alerts/hub-alerts.ts";
import { type EventLog, LogError } from "./event-log.ts";

const TRY_MS = 2000;

export class HubHealth {
  private readonly troubles = new Set<HubCause>();
  private readonly listeners: (() => void)[] = [];
  private timer: NodeJS.Timeout | undefined;

  constructor(
    private readonly log: EventLog,
    /** Each trouble is told once when it begins. */
    private readonly onTrouble: (error: unknown) => void,
  ) {}

  standing(): StandingAlert[] {
    return [...this.troubles].map((cause) => {
      const [priority] = HUB_ALERTS[cause].priorities;
      return { id: cause, cause, priority, rigId: null };
    });
  }

  onChange(listener: () => void): void {
    this.listeners.push(listener);
  }

  /** A trouble that stands from now on; `error` is for the person at the laptop. */
  raise(cause: HubCause, error?: unknown): void {
    if (this.troubles.has(cause)) return;
    this.troubles.add(cause);
    if (error !== undefined) this.onTrouble(error);
    this.changed();
  }

  clear(cause: HubCause): void {
    if (this.troubles.delete(cause)) this.changed();
  }

  /** The log could not be written. A short write that succeeds after that does not end it: a full disk has gaps. */
  unwritten(error: unknown): void {
    const full = error instanceof LogError && error.code === "full";
    this.raise(full ? "disk-full" : "log-failing", error);
    if (full) this.clear("log-failing");
    this.timer ??= setInterval(() => this.try(), TRY_MS).unref();
  }

  close(): void {
    clearInterval(this.timer);
  }

  private try(): void {
    try {
      this.log.proveWritable();
    } catch (error) {
      this.unwritten(error);
      return;
    }
    clearInterval(this.timer);
    this.timer = undefined;
    this.clear("disk-full");
    this.clear("log-failing");
  }

  private changed(): void {
    for (const listener of this.listeners) listener();
  }
}
