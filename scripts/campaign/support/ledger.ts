/**
 * Everything that a hub has acknowledged, and whether its file still has it: nothing lost, nothing
 * twice, no gap. The file is read beside the running hub, through SQLite and not through the hub.
 */
import { createHash } from "node:crypto";
import { join } from "node:path";
import Database from "better-sqlite3";

export interface Acknowledged {
  sender: string;
  commandId: string;
  seq: number;
  /** What the report said, to be found in the event; absent for orders. */
  batteryPct?: number;
}

export interface Verdict {
  lost: string[];
  doubled: string[];
  gaps: number;
}

export function leadSender(token: string): string {
  return `lead:${createHash("sha256").update(token).digest("base64url").slice(0, 12)}`;
}

export class Ledger {
  readonly acknowledged: Acknowledged[] = [];
  /** Revision and group of the newest plan that was acknowledged. */
  plan: { revision: number; group: string } | undefined;
  /** Whether the site is covered, as far as acknowledged orders tell; undefined while one is open. */
  cover: boolean | undefined = false;
  private checked = 0;

  constructor(private readonly siteDir: string) {}

  note(item: Acknowledged): void {
    this.acknowledged.push(item);
  }

  /** Looks for what was acknowledged since the last check, or for all of it. */
  check(all = false): Verdict {
    const db = new Database(join(this.siteDir, "site.db"), { readonly: true, timeout: 5000 });
    try {
      const from = all ? 0 : this.checked;
      const upTo = this.acknowledged.length;
      const lost = this.acknowledged.slice(from, upTo).filter((item) => !has(db, item));
      this.checked = upTo;
      const { count, last } = db
        .prepare("SELECT COUNT(*) AS count, COALESCE(MAX(seq), 0) AS last FROM events")
        .get() as { count: number; last: number };
      return {
        lost: lost.map(({ sender, commandId, seq }) => `${commandId} of ${sender} at ${seq}`),
        doubled: all ? doubles(db) : [],
        gaps: last - count,
      };
    } finally {
      db.close();
    }
  }
}

function has(db: Database.Database, item: Acknowledged): boolean {
  const known = db
    .prepare("SELECT 1 FROM commands WHERE sender = ? AND command_id = ?")
    .get(item.sender, item.commandId);
  if (!known) return false;
  if (item.batteryPct === undefined) return true;
  const event = db.prepare("SELECT command_id AS id, payload FROM events WHERE seq = ?").get(item.seq) as
    | { id: string; payload: string }
    | undefined;
  return event?.id === item.commandId && JSON.parse(event.payload).batteryPct === item.batteryPct;
}

/** Reports carry ids of their own: each is in the log once. */
function doubles(db: Database.Database): string[] {
  return db
    .prepare(
      `SELECT command_id FROM events WHERE type = 'rigReported'
        GROUP BY actor, device_id, command_id HAVING COUNT(*) > 1`,
    )
    .pluck()
    .all() as string[];
}
