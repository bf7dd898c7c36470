/**
 * What this phone has reported, newest first, for its operator: kept on the phone beside the
 * outbox, whatever the hub has heard of it.
 */
import { useSyncExternalStore } from "react";
import type { Report } from "../../../shared/run/facts/report-schema.ts";
import type { BrowserStore } from "../../link/browser-store.ts";

interface OwnEntry {
  atUtcMs: number;
  rigId: string;
  report: Report;
}

const KEY = "own-log";
const KEPT = 200;

export class OwnLog {
  private entries: readonly OwnEntry[] = [];
  private readonly listeners = new Set<() => void>();
  private readonly loaded: Promise<void>;

  constructor(private readonly store: Pick<BrowserStore, "get" | "set">) {
    this.loaded = store
      .get<OwnEntry[]>(KEY)
      .then((kept) => {
        if (Array.isArray(kept)) this.put([...this.entries, ...kept]);
      })
      .catch(() => undefined);
  }

  add(entry: OwnEntry): void {
    this.put([entry, ...this.entries]);
    // The reports themselves are safe in the outbox; this list is for looking only.
    void this.loaded.then(() => this.store.set(KEY, this.entries)).catch(() => undefined);
  }

  list = (): readonly OwnEntry[] => this.entries;

  subscribe = (listener: () => void): (() => void) => {
    this.listeners.add(listener);
    return () => this.listeners.delete(listener);
  };

  private put(entries: readonly OwnEntry[]): void {
    this.entries = entries.slice(0, KEPT);
    this.listeners.forEach((listener) => {
      listener();
    });
  }
}

export function useOwnLog(log: OwnLog): readonly OwnEntry[] {
  return useSyncExternalStore(log.subscribe, log.list, log.list);
}
