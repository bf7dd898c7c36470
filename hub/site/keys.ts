/**
 * Who may do what. The lead's PIN is kept as a scrypt hash; a lead's session is a random token of
 * which only the hash is kept, so it survives a restart and cannot be read from the file. A rig's
 * token is an HMAC of the site's secret, the rig and its generation: nothing is stored per link,
 * and raising the generation revokes every link made before.
 */
import {
  createHash,
  createHmac,
  randomBytes,
  randomInt,
  type ScryptOptions,
  scrypt,
  scryptSync,
  timingSafeEqual,
} from "node:crypto";
import type { EventLog } from "../log/event-log.ts";
import { PIN_HASH_BYTES, type PinRecord, readPinRecord, readSiteSecret } from "../log/kept-secrets.ts";

const SCRYPT = { N: 16_384, r: 8, p: 1 };
/** Sessions kept; above it the one used longest ago ends, but none that is at work. */
const MOST_SESSIONS = 200;
/** A session that nobody has used for so long ends, ms. */
export const SESSION_LIFE_MS = 14 * 86_400_000;
/** How often it is written down that a session is in use, ms. */
const USE_WRITTEN_MS = 3_600_000;

interface SessionRecord {
  hash: string;
  name: string;
  sinceUtcMs: number;
  /** When it was last used, to the hour. */
  usedUtcMs?: number;
}

type LinkVerdict = { ok: true; revoked: boolean } | { ok: false };

interface KeysPorts {
  now: () => number;
  /** Whether a session must not end for lack of use: a page of it is open, or a run is on. */
  spares: (hash: string) => boolean;
}

export class Keys {
  private readonly secret: Buffer;
  private kept: SessionRecord[];
  /** By session: in which order they were last used since this start. */
  private readonly used = new Map<string, number>();
  private uses = 0;

  constructor(
    private readonly log: EventLog,
    /** Without them no session ends for lack of use. */
    private readonly ports?: KeysPorts,
  ) {
    const known = readSiteSecret(log.getSetting("siteSecret"));
    if (known) this.secret = known;
    else {
      this.secret = randomBytes(32);
      log.setSetting("siteSecret", this.secret.toString("base64url"));
    }
    const sessions = log.getSetting("local:leadSessions");
    this.kept = Array.isArray(sessions) ? sessions.filter(isSession) : [];
  }

  /** False also where what is kept is no PIN's record: then one is to be made anew. */
  hasPin(): boolean {
    return this.pinRecord() !== undefined;
  }

  setPin(pin: string): void {
    const salt = randomBytes(16);
    const record: PinRecord = {
      salt: salt.toString("base64url"),
      hash: scryptSync(pin, salt, PIN_HASH_BYTES, SCRYPT).toString("base64url"),
    };
    this.log.setSetting("leadPin", record);
  }

  /**
   * The PIN that was given at a start. One that is in force already changes nothing, so that a hub
   * started again with the same words signs nobody out in a run; another one ends every session.
   */
  async startWithPin(pin: string): Promise<void> {
    if (await this.checkPin(pin)) return;
    this.setPin(pin);
    this.closeOthers(null);
  }

  /** Off the event loop: a derivation takes tens of ms. The caller sees to it that few are under way. */
  async checkPin(pin: string): Promise<boolean> {
    const record = this.pinRecord();
    if (!record) return false;
    const hash = await derive(pin, Buffer.from(record.salt, "base64url"), PIN_HASH_BYTES, SCRYPT);
    return timingSafeEqual(hash, Buffer.from(record.hash, "base64url"));
  }

  private pinRecord(): PinRecord | undefined {
    return readPinRecord(this.log.getSetting("leadPin"));
  }

  /**
   * A new session of a lead. Of too many the one used longest ago ends; never one that `atWork`
   * says has a page open, whatever their number.
   */
  openSession(name: string, now: number, atWork: (hash: string) => boolean = () => false): string {
    const token = randomBytes(24).toString("base64url");
    // Kept in the order of use, so that a restart does not lose it.
    const before = this.kept
      .filter((session) => !this.isOver(session))
      .sort((a, b) => this.lastUse(a) - this.lastUse(b));
    const tooMany = Math.max(0, before.length + 1 - MOST_SESSIONS);
    const ended = new Set(before.filter(({ hash }) => !atWork(hash)).slice(0, tooMany));
    const session = { hash: digest(token), name, sinceUtcMs: now, usedUtcMs: now };
    this.noteUse(session.hash);
    this.keep([...before.filter((one) => !ended.has(one)), session]);
    return token;
  }

  private noteUse(hash: string): void {
    this.used.set(hash, ++this.uses);
  }

  private lastUse({ hash }: SessionRecord): number {
    return this.used.get(hash) ?? 0;
  }

  /** The session of a token; undefined when there is none, or it was not used for SESSION_LIFE_MS. */
  session(token: string | undefined): SessionRecord | undefined {
    if (!token) return undefined;
    const hash = digest(token);
    const found = this.kept.find((session) => session.hash === hash);
    if (!found) return undefined;
    if (this.isOver(found)) {
      this.keep(this.kept.filter((session) => session !== found));
      return undefined;
    }
    this.touch(hash);
    return found;
  }

  /** A session is in use: a request, or a page of it that is open. */
  touch(hash: string): void {
    const found = this.kept.find((session) => session.hash === hash);
    if (!found) return;
    this.noteUse(hash);
    if (!this.ports) return;
    const now = this.ports.now();
    if (Math.abs(now - usedUtcMs(found)) < USE_WRITTEN_MS) return;
    this.keep(this.kept.map((session) => (session === found ? { ...found, usedUtcMs: now } : session)));
  }

  closeSession(token: string): void {
    const hash = digest(token);
    this.keep(this.kept.filter((session) => session.hash !== hash));
  }

  /** Ends every session but one, or all; gives the hashes of those that ended. */
  closeOthers(keptHash: string | null): string[] {
    const ended = this.kept.filter(({ hash }) => hash !== keptHash).map(({ hash }) => hash);
    this.keep(this.kept.filter(({ hash }) => hash === keptHash));
    return ended;
  }

  /** A clock that was set back ends nothing. */
  private isOver(session: SessionRecord): boolean {
    const { ports } = this;
    if (!ports || ports.now() - usedUtcMs(session) <= SESSION_LIFE_MS) return false;
    return !ports.spares(session.hash);
  }

  private keep(sessions: SessionRecord[]): void {
    this.kept = sessions;
    for (const hash of this.used.keys())
      if (!sessions.some((session) => session.hash === hash)) this.used.delete(hash);
    this.log.setSetting("local:leadSessions", sessions);
  }

  rigToken(rigId: string, generation: number): string {
    return createHmac("sha256", this.secret)
      .update(`${rigId}\n${generation}`)
      .digest("base64url")
      .slice(0, 32);
  }

  /** The link of all marshals. No rig's id begins with a NUL, so no rig's token is one of these. */
  marshalToken(generation: number): string {
    return this.rigToken("\0marshals", generation);
  }

  isMarshalToken(token: string, generation: number): boolean {
    return same(token, this.marshalToken(generation));
  }

  /** Whether a token is this rig's; `revoked` when it is of an earlier generation. */
  checkRigToken(rigId: string, token: string, generation: number): LinkVerdict {
    if (same(token, this.rigToken(rigId, generation))) return { ok: true, revoked: false };
    for (let old = generation - 1; old >= 0 && old > generation - 20; old--) {
      if (same(token, this.rigToken(rigId, old))) return { ok: true, revoked: true };
    }
    return { ok: false };
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

function derive(pin: string, salt: Buffer, bytes: number, options: ScryptOptions): Promise<Buffer> {
  return new Promise((resolve, reject) => {
    scrypt(pin, salt, bytes, options, (error, hash) => (error ? reject(error) : resolve(hash)));
  });
}

/** What an earlier program has kept says only since when. */
function usedUtcMs(session: SessionRecord): number {
  return session.usedUtcMs ?? session.sinceUtcMs;
}

function isSession(value: unknown): value is SessionRecord {
  const { hash, name, sinceUtcMs, usedUtcMs = 0 } = (value ?? {}) as Partial<SessionRecord>;
  return (
    typeof hash === "string" &&
    typeof name === "string" &&
    Number.isFinite(sinceUtcMs) &&
    Number.isFinite(usedUtcMs)
  );
}
