/**
 * The newest document a relay has, compressed ahead for everybody who asks. It holds a document only if
 * its signature holds for the key that stands in it, and keeps to one key: to that which it was told, or
 * else to that of the document that it has, until that one has run out. So whoever writes to the broker
 * besides, by mistake or on purpose, takes the board from nobody. Whether the first key that was heard is
 * the site's only a board can tell, by its address: hence `--key`.
 *
 * One whose number is not higher than what it has is passed over, so that a stale cache before it turns
 * nothing back.
 */
import { brotliCompressSync, constants, gzipSync } from "node:zlib";
import { type BoardDocument, readDocument, splitSigned } from "../../shared/protocol/board-document.ts";
import { tagOf } from "../entity-tag.ts";
import { signatureHolds } from "../feeds/signature-holds.ts";

/** The hub says the same again within this, ms: whoever has not is gone, whatever its document says of itself. */
const MOST_ALIVE_MS = 120_000;

export type Coding = "br" | "gzip" | "identity";

export interface HeldBoard {
  document: BoardDocument;
  text: string;
  etag: string;
  bodies: Record<Coding, Buffer>;
  /** When it came, monotonic ms. */
  atMs: number;
}

/** Why a text is passed over. */
export type NotTaken = "no board" | "altered" | "other site" | "older";

export interface HolderPorts {
  /** The only key to hold documents of; null: the first that is heard. */
  key: string | null;
  utcMs: () => number;
  monoMs?: () => number;
}

export class BoardHolder {
  current: HeldBoard | undefined;
  /** When where it comes from last had what is held, monotonic ms; undefined before. */
  heardAtMs: number | undefined;
  private readonly monoMs: () => number;

  constructor(private readonly ports: HolderPorts) {
    this.monoMs = ports.monoMs ?? (() => performance.now());
  }

  /** The key that it keeps to now; null before any. */
  key(): string | null {
    return this.ports.key ?? this.current?.document.key ?? null;
  }

  /** Null where it is held now; what is passed over changes nothing. */
  take(text: string): NotTaken | null {
    if (text === this.current?.text) return this.heard();
    const parts = splitSigned(text);
    const document = readDocument(text);
    if (!parts || !document) return "no board";
    const { current } = this;
    const { key } = document;
    if (this.ports.key !== null && key !== this.ports.key) return "other site";
    if (current && key !== current.document.key && this.alive(current)) return "other site";
    if (key === current?.document.key && document.number <= current.document.number) return "older";
    if (!signatureHolds(parts.signed, parts.signature, key)) return "altered";
    const identity = Buffer.from(text);
    this.current = {
      document,
      text,
      // Weak: what goes out under it is coded in three ways (RFC 9110, 8.8.1).
      etag: `W/${tagOf(text)}`,
      bodies: {
        identity,
        gzip: gzipSync(identity, { level: 9 }),
        br: brotliCompressSync(identity, { params: { [constants.BROTLI_PARAM_QUALITY]: 9 } }),
      },
      atMs: this.monoMs(),
    };
    return this.heard();
  }

  /** What is held is still what upstream has. */
  heard(): null {
    this.heardAtMs = this.monoMs();
    return null;
  }

  private alive({ document: { issuedUtcMs, validUntilUtcMs }, atMs }: HeldBoard): boolean {
    const forMs = Math.min(MOST_ALIVE_MS, validUntilUtcMs - issuedUtcMs);
    return this.ports.utcMs() < validUntilUtcMs && this.monoMs() - atMs < forMs;
  }
}

/** The best coding that an Accept-Encoding header takes; one that it refuses (q=0) is none. */
export function codingFor(accepted: string | undefined): Coding {
  const taken = (name: string): boolean =>
    (accepted ?? "").split(",").some((one) => {
      const [coding = "", ...more] = one.split(";").map((part) => part.trim());
      return coding === name && !more.some((part) => /^q=0(\.0*)?$/.test(part));
    });
  return taken("br") ? "br" : taken("gzip") ? "gzip" : "identity";
}
