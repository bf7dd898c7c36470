/**
 * The board's snapshot as it goes out to many: numbered, dated, valid until a stated instant, signed.
 *
 * What is signed (Ed25519, RFC 8032) are the bytes of the document as JSON without its last member,
 * `signature`. So whoever checks it needs no canonical form: the text is cut where its signature
 * begins (`splitSigned`), and only what stands before is read. The number rises with every document
 * of a site, over restarts, too: an older one is a replay.
 *
 * The signature says that the site's hub said this. It says nothing of the page that checks it,
 * which comes from whoever serves it.
 */
import * as v from "valibot";
import type { UtcMs } from "../time/instants.ts";
import type { BoardSnapshot } from "./messages.ts";

export interface BoardStamp {
  /** Rises with every document of a site. */
  number: number;
  /** When it was signed, by the hub's clock. */
  issuedUtcMs: UtcMs;
  /**
   * By how much in all the hub's clock has been set back since its start, ms, 0 or more, and which start
   * that is: what was signed before says so much less of the time now.
   */
  clock: { epoch: string; backMs: number };
  /** When the hub means to say the same again, if nothing happens before. */
  nextUtcMs: UtcMs;
  /** Who has heard nothing newer by then knows nothing any more of calls: glasses on. */
  validUntilUtcMs: UtcMs;
  /** So many times slower than usual whoever fetches it is asked to be, 1 to MOST_SLOW: relays are loaded. */
  slow: number;
  /** Hosts whose pages may show the board in a frame, as a lead has named them: "https://example.org". */
  embed: readonly string[];
  /** The public key, base64url of its 32 bytes: to be compared with that of the page's address. */
  key: string;
}

export type BoardDocument = BoardSnapshot & BoardStamp & { signature: string };

export const MOST_SLOW = 4;
/** No document is larger, bytes; what is larger is none. */
export const MOST_BOARD_BYTES = 16_384;

const SIGNATURE_AT = ',"signature":"';

/** Bytes of an Ed25519 public key and of a signature, in base64url. */
export const BOARD_KEY = /^[A-Za-z0-9_-]{43}$/;
const SIGNATURE = /^[A-Za-z0-9_-]{86}$/;

/** The text to be signed, and with its signature. */
export function signedText(body: BoardSnapshot & BoardStamp, sign: (text: string) => string): string {
  const text = JSON.stringify(body);
  return `${text.slice(0, -1)}${SIGNATURE_AT}${sign(text)}"}`;
}

/** What was signed and its signature; null where the text has not the form of a document. */
export function splitSigned(text: string): { signed: string; signature: string } | null {
  const at = text.lastIndexOf(SIGNATURE_AT);
  if (at < 1 || text.length > MOST_BOARD_BYTES || !text.endsWith('"}')) return null;
  const signature = text.slice(at + SIGNATURE_AT.length, -2);
  return SIGNATURE.test(signature) ? { signed: `${text.slice(0, at)}}`, signature } : null;
}

/**
 * An origin whose pages may show the board in a frame: no path, no wildcard, nothing that ends a header.
 * Names by RFC 1123, 2.1: labels of letters, digits and hyphens, with none of these at its ends.
 */
const LABEL = "[a-z0-9](?:[a-z0-9-]{0,61}[a-z0-9])?";
const PORT = "[1-9]\\d{0,3}|[1-5]\\d{4}|6[0-4]\\d{3}|65[0-4]\\d{2}|655[0-2]\\d|6553[0-5]";
export const EMBED_HOST = new RegExp(`^https?://(?=.{1,259}$)${LABEL}(?:\\.${LABEL})*(?::(?:${PORT}))?$`);
export const MOST_EMBED = 10;
export const EmbedSchema = v.pipe(
  v.array(
    v.pipe(v.string("must be text"), v.regex(EMBED_HOST, "must be like https://example.org, without a path")),
  ),
  v.maxLength(MOST_EMBED, `may have at most ${MOST_EMBED} entries`),
);

const ms = v.pipe(v.number(), v.finite());
const contact = v.nullable(ms);
const contacts = v.object({
  c1: contact,
  c2: contact,
  max: contact,
  c3: contact,
  filterC3: contact,
  safeC3: contact,
  c4: contact,
});
const StampSchema = v.object({
  number: v.pipe(v.number(), v.safeInteger(), v.minValue(1)),
  issuedUtcMs: ms,
  clock: v.object({ epoch: v.pipe(v.string(), v.maxLength(40)), backMs: v.pipe(ms, v.minValue(0)) }),
  nextUtcMs: ms,
  validUntilUtcMs: ms,
  slow: v.pipe(v.number(), v.minValue(1), v.maxValue(MOST_SLOW)),
  embed: EmbedSchema,
  key: v.pipe(v.string(), v.regex(BOARD_KEY)),
});
/** What a board hangs glasses on is looked at whole; the rest is the signer's word. */
const DocumentSchema = v.looseObject({
  ...StampSchema.entries,
  zone: v.string(),
  kind: v.picklist(["none", "partial", "annular", "total", "unset"]),
  contacts,
  realContacts: contacts,
  positionAngles: v.object({ c1: contact, c4: contact }),
  practice: v.nullable(
    v.object({ startedUtcMs: ms, startRunMs: ms, rate: v.pipe(ms, v.gtValue(0)), endsAtUtcMs: ms }),
  ),
  cover: v.boolean(),
  calledTotalityMs: contact,
  calledReturnMs: contact,
  stayFiltered: v.boolean(),
});

/** A document out of its text, its signature unchecked; null where it is none. */
export function readDocument(text: string): BoardDocument | null {
  const parts = splitSigned(text);
  if (!parts) return null;
  try {
    const read = v.safeParse(DocumentSchema, JSON.parse(parts.signed));
    return read.success ? ({ ...read.output, signature: parts.signature } as unknown as BoardDocument) : null;
  } catch {
    return null;
  }
}
