/**
 * Numbers and signs what boards show (shared/protocol/board-document.ts).
 *
 * The key is the site's own and stands in its settings apart from the secret of rig links: it goes
 * with the site's file, so a spare laptop goes on signing, and boards keep trusting it. Numbers are
 * the hub's time in ms, never lower than the last: so they rise over restarts, and also where the
 * site goes on from a copy that is some minutes old. The last one is written down every minute, ahead.
 *
 * A document is signed anew when something in it has changed, and before it runs out. While glasses
 * may be off it is valid for a short time only: who is cut off then must not miss the call that
 * brings them on (S13).
 */
import { createPrivateKey, createPublicKey, generateKeyPairSync, type KeyObject, sign } from "node:crypto";
import { type BoardDocument, type BoardStamp, signedText } from "../../shared/protocol/board-document.ts";
import type { BoardSnapshot } from "../../shared/protocol/messages.ts";
import type { HubCourse } from "../../shared/sync/samples.ts";
import { later, type UtcMs } from "../../shared/time/instants.ts";
import type { Settings } from "./settings.ts";

const KEY_SETTING = "boardKey";
const NUMBER_SETTING = "boardNumber";
/** Numbers are written down so far ahead, ms. */
const AHEAD_MS = 60_000;
/** Valid for so long, and said again after so long, ms: three fetches in a row may fail. */
const CALM = { validMs: 90_000, againMs: 30_000 };
/** While a call of totality stands: boards come every two to five seconds then (shared/link/board-pace.ts). */
const CALLED = { validMs: 12_000, againMs: 4000 };

interface SealPorts {
  now: () => UtcMs;
  /** What has been corrected of that clock (shared/sync/samples.ts). */
  course: () => Pick<HubCourse, "epoch" | "shiftMs">;
  /** How slow boards are asked to be, 1 … MOST_SLOW. */
  slow: () => number;
  /** Who may show the board in a frame. */
  embed: () => readonly string[];
}

export class BoardSeal {
  /** The public key as it stands in boards' addresses: base64url of its 32 bytes (RFC 8037). */
  readonly key: string;
  private readonly secret: KeyObject;
  private last: number;
  private written: number;
  /** What of its clock's corrections went back, ms, and all of them when last looked at. */
  private backMs = 0;
  private shiftMs: number | undefined;
  private held: { body: string; document: BoardDocument } | undefined;

  constructor(
    private readonly log: Settings,
    private readonly ports: SealPorts,
  ) {
    const kept = readKey(log.getSetting(KEY_SETTING));
    this.secret = kept ?? generateKeyPairSync("ed25519").privateKey;
    if (!kept) log.setSetting(KEY_SETTING, this.secret.export({ format: "jwk" }).d);
    this.key = createPublicKey(this.secret).export({ format: "jwk" }).x ?? "";
    const number = log.getSetting(NUMBER_SETTING);
    this.last = Number.isSafeInteger(number) ? Number(number) : 0;
    this.written = this.last;
  }

  /** The same document until something has changed or it is to be said again. */
  seal(snapshot: BoardSnapshot): BoardDocument {
    const now = this.ports.now();
    const { epoch = "", shiftMs } = this.ports.course();
    // After a sleep the clock is moved on, which is no correction: only what goes back counts.
    this.backMs += Math.max(0, (this.shiftMs ?? shiftMs) - shiftMs);
    this.shiftMs = shiftMs;
    const slow = this.ports.slow();
    const embed = this.ports.embed();
    const body = JSON.stringify({ ...snapshot, slow, embed });
    const { held } = this;
    if (held && held.body === body) {
      const { issuedUtcMs, nextUtcMs } = held.document;
      // Before it was issued: the clock was set back meanwhile.
      if (now >= issuedUtcMs && now < nextUtcMs) return held.document;
    }
    const called = snapshot.calledTotalityMs !== null && snapshot.calledReturnMs === null;
    const { validMs, againMs } = called ? CALLED : CALM;
    const stamp: BoardStamp = {
      number: this.nextNumber(now),
      issuedUtcMs: now,
      clock: { epoch, backMs: this.backMs },
      nextUtcMs: later(now, againMs),
      validUntilUtcMs: later(now, validMs),
      slow,
      embed,
      key: this.key,
    };
    const text = signedText({ ...snapshot, ...stamp }, (said) =>
      sign(null, Buffer.from(said), this.secret).toString("base64url"),
    );
    const document = JSON.parse(text) as BoardDocument;
    this.held = { body, document };
    return document;
  }

  private nextNumber(now: UtcMs): number {
    this.last = Math.max(this.last + 1, Math.floor(now));
    if (this.last > this.written) {
      try {
        this.log.setSetting(NUMBER_SETTING, this.last + AHEAD_MS);
        this.written = this.last + AHEAD_MS;
      } catch {
        // A full disk is told where reports fail; boards are told all the same.
      }
    }
    return this.last;
  }
}

/** A private key out of the settings; undefined where there is none that can be used. */
function readKey(setting: unknown): KeyObject | undefined {
  if (typeof setting !== "string" || !/^[A-Za-z0-9_-]{43}$/.test(setting)) return undefined;
  // RFC 8410, section 7: PKCS #8 of an Ed25519 key is this prefix and the 32 bytes of the seed.
  const prefix = Buffer.from("302e020100300506032b657004220420", "hex");
  const der = Buffer.concat([prefix, Buffer.from(setting, "base64url")]);
  return createPrivateKey({ key: der, format: "der", type: "pkcs8" });
}
