/**
 * Who may do what. The lead's PIN is kept as a scrypt hash; a lead's session is a random token of
 * which only the hash is kept, so it survives a restart and cannot be read from the file. A rig's
 * token is an HMAC of the site's secret, the rig and its generation: nothing is stored per link,
 * and raising the generation revokes every link made before.
 */
import { createHash, createHmac, randomBytes, randomInt, scryptSync, timingSafeEqual } from "node:crypto";
import type { EventLog } from "../log/event-log.ts";

const SCRYPT = { N: 16_384, r: 8, p: 1 };
/** Sessions kept; above it the one used longest ago ends, but none that is at work. */
const MOST_SESSIONS = 200;

interface PinRecord {
  salt: string;
  hash: string;
}

interface SessionRecord {
  hash: string;
  name: string;
  sinceUtcMs: number;
}

export type LinkVerdict = { ok: true; revoked: boolean } | { ok: false };

export class Keys {
  private readonly secret: Buffer;
  /** By session: in which order they were last used since this start. */
  private readonly used = new Map<string, number>();
  private uses = 0;

  constructor(private readonly log: EventLog) {
    const known = log.getSetting("siteSecret");
    if (typeof known === "string") this.secret = Buffer.from(known, "base64url");
    else {
      this.secret = randomBytes(32);
      log.setSetting("siteSecret", this.secret.toString("base64url"));
    }
  }

  hasPin(): boolean {
    return this.log.getSetting("leadPin") !== undefined;
  }

  setPin(pin: string): void {
    const salt = randomBytes(16);
    const record: PinRecord = {
      salt: salt.toString("base64url"),
      hash: scryptSync(pin, salt, 32, SCRYPT).toString("base64url"),
    };
    this.log.setSetting("leadPin", record);
  }

  checkPin(pin: string): boolean {
    const record = this.log.getSetting("leadPin") as PinRecord | undefined;
    if (!record) return false;
    const hash = scryptSync(pin, Buffer.from(record.salt, "base64url"), 32, SCRYPT);
    return timingSafeEqual(hash, Buffer.from(record.hash, "base64url"));
  }

  /**
   * A new session of a lead. Of too many the one used longest ago ends; never one that `atWork`
   * says has a page open, whatever their number.
   */
  openSession(name: string, now: number, atWork: (hash: string) => boolean = () => false): string {
    const token = randomBytes(24).toString("base64url");
    // Kept in the order of use, so that a restart does not lose it.
    const before = this.sessions().sort((a, b) => this.lastUse(a) - this.lastUse(b));
    const tooMany = Math.max(0, before.length + 1 - MOST_SESSIONS);
    const ended = new Set(before.filter(({ hash }) => !atWork(hash)).slice(0, tooMany));
    for (const { hash } of ended) this.used.delete(hash);
    const kept = before.filter((session) => !ended.has(session));
    const session = { hash: digest(token), name, sinceUtcMs: now };
    this.noteUse(session.hash);
    this.log.setSetting("local:leadSessions", [...kept, session]);
    return token;
  }

  private noteUse(hash: string): void {
    this.used.set(hash, ++this.uses);
  }

  private lastUse({ hash }: SessionRecord): number {
    return this.used.get(hash) ?? 0;
  }

  /** The session of a token; undefined when there is none. */
  session(token: string | undefined): SessionRecord | undefined {
    if (!token) return undefined;
    const hash = digest(token);
    const found = this.sessions().find((session) => session.hash === hash);
    if (found) this.noteUse(hash);
    return found;
  }

  closeSession(token: string): void {
    const hash = digest(token);
    this.log.setSetting(
      "local:leadSessions",
      this.sessions().filter((session) => session.hash !== hash),
    );
  }

  rigToken(rigId: string, generation: number): string {
    return createHmac("sha256", this.secret)
      .update(`${rigId}\n${generation}`)
      .digest("base64url")
      .slice(0, 32);
  }

  /** Whether a token is this rig's; `revoked` when it is of an earlier generation. */
  checkRigToken(rigId: string, token: string, generation: number): LinkVerdict {
    if (same(token, this.rigToken(rigId, generation))) return { ok: true, revoked: false };
    for (let old = generation - 1; old >= 0 && old > generation - 20; old--) {
      if (same(token, this.rigToken(rigId, old))) return { ok: true, revoked: true };
    }
    return { ok: false };
  }

  private sessions(): SessionRecord[] {
    return (this.log.getSetting("local:leadSessions") as SessionRecord[] | undefined) ?? [];
  }
}

/** A PIN of six digits for the lead. */
export function newPin(): string {
  return String(randomInt(0, 1_000_000)).padStart(6, "0");
}

function digest(token: string): string {
  return createHash("sha256").update(token).digest("base64url");
}

function same(a: string, b: string): boolean {
  const left = Buffer.from(a);
  const right = Buffer.from(b);
  return left.length === right.length && timingSafeEqual(left, right);
}
