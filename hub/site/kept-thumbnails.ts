/**
 * Thumbnails that a lead chose to keep with the site, so that another laptop shows them without the
 * cards. They are settings of the site, not events: in its file, in no log, and they can be deleted. Some
 * lie together in one setting, so that none grows beyond what a site's file may hold in a cell. What is
 * where is written first: cut off in between, a picture is missing and nothing else.
 */
import type { EventLog } from "../log/event-log.ts";

/** Letters of base64 that all of them may take: 9 MB of pictures, some two thousand. */
export const THUMBNAILS_MOST_BYTES = 12_000_000;
/** Pictures in one setting. */
const TOGETHER = 50;
const INDEX = "thumbnails";
const packKey = (n: number): string => `${INDEX}:${n}`;

export interface Thumbnail {
  file: string;
  /** JPEG in base64. */
  jpeg: string;
}

interface Entry {
  runId: string;
  rigId: string;
  file: string;
  pack: number;
  bytes: number;
}
type Pack = [key: string, jpeg: string][];

const keyOf = ({ runId, rigId, file }: Pick<Entry, "runId" | "rigId" | "file">): string =>
  JSON.stringify([runId, rigId, file]);

export class KeptThumbnails {
  constructor(private readonly log: Pick<EventLog, "getSetting" | "setSetting">) {}

  entries(): readonly Entry[] {
    const kept = this.log.getSetting(INDEX);
    return Array.isArray(kept) ? (kept as Entry[]) : [];
  }

  bytes(): number {
    return this.entries().reduce((sum, { bytes }) => sum + bytes, 0);
  }

  picture(runId: string, rigId: string, file: string): string | null {
    const key = keyOf({ runId, rigId, file });
    const entry = this.entries().find((one) => keyOf(one) === key);
    return entry ? (new Map(this.pack(entry.pack)).get(key) ?? null) : null;
  }

  /** One of a file that is kept already takes its place. Gives how many found no room any more. */
  keep(runId: string, rigId: string, thumbnails: readonly Thumbnail[]): { left: number } {
    const entries = new Map(this.entries().map((one) => [keyOf(one), one]));
    const changed = new Map<number, Map<string, string>>();
    const packOf = (n: number): Map<string, string> => {
      const pack = changed.get(n) ?? new Map(this.pack(n));
      changed.set(n, pack);
      return pack;
    };
    let bytes = this.bytes();
    let last = Math.max(0, ...[...entries.values()].map(({ pack }) => pack));
    let left = 0;
    for (const { file, jpeg } of thumbnails) {
      const key = keyOf({ runId, rigId, file });
      const before = entries.get(key);
      const after = bytes - (before?.bytes ?? 0) + jpeg.length;
      if (after > THUMBNAILS_MOST_BYTES) {
        left++;
        continue;
      }
      bytes = after;
      if (!before && packOf(last).size >= TOGETHER) last++;
      const pack = before?.pack ?? last;
      packOf(pack).set(key, jpeg);
      entries.set(key, { runId, rigId, file, pack, bytes: jpeg.length });
    }
    this.log.setSetting(INDEX, [...entries.values()]);
    for (const [n, pack] of changed) this.log.setSetting(packKey(n), [...pack]);
    return { left };
  }

  removeAll(): void {
    const packs = new Set(this.entries().map(({ pack }) => pack));
    for (const n of packs) this.log.setSetting(packKey(n), undefined);
    this.log.setSetting(INDEX, undefined);
  }

  private pack(n: number): Pack {
    const kept = this.log.getSetting(packKey(n));
    return Array.isArray(kept) ? (kept as Pack) : [];
  }
}
