/**
 * The newest document a relay has, compressed ahead for everybody who asks. A relay cannot tell a
 * true one from a false one (it knows no key that it could trust): it looks at the form, and passes
 * over one whose number is lower than what it has of the same key, so that a stale cache before it
 * turns nothing back.
 */
import { brotliCompressSync, constants, gzipSync } from "node:zlib";
import { type BoardDocument, readDocument } from "../../shared/protocol/board-document.ts";
import { tagOf } from "../entity-tag.ts";

export type Coding = "br" | "gzip" | "identity";

export interface HeldBoard {
  document: BoardDocument;
  text: string;
  etag: string;
  bodies: Record<Coding, Buffer>;
}

export class BoardHolder {
  current: HeldBoard | undefined;
  /** When anything was last heard from where it comes from, monotonic ms; undefined before. */
  heardAtMs: number | undefined;

  /** Whether it is taken; anything that is no document, or an older one, changes nothing. */
  take(text: string): boolean {
    this.heardAtMs = performance.now();
    if (text === this.current?.text) return true;
    const document = readDocument(text);
    if (!document) return false;
    const { current } = this;
    if (current?.document.key === document.key && document.number < current.document.number) return false;
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
    };
    return true;
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
