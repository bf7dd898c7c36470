/**
 * What a relay says of itself to where it has the snapshot from: how many boards look, in all that
 * stands behind it, and how slow it asks the field to be. Numbers only: relays count looks, no person.
 */
import * as v from "valibot";
import { MOST_SLOW } from "../../shared/protocol/board-document.ts";

/** The header by which a relay that polls says it. */
export const RELAY_HEADER = "Noonfall-Relay";

/** The header by which an answer says through which relays it has come: their ids, nearest to the hub first. */
export const RELAY_PATH_HEADER = "Noonfall-Relay-Path";

/** The relays before this one. */
export interface RelayPath {
  before: readonly string[];
}

const MOST_PATH = 16;
const ID = /^[A-Za-z0-9_-]{8,40}$/;

/** Who a board has come through; none where the header is not one. */
export function readPath(header: string | undefined): readonly string[] {
  const ids = (header ?? "").split(" ");
  return ids.length <= MOST_PATH && ids.every((id) => ID.test(id)) ? ids : [];
}

const count = v.pipe(v.number(), v.safeInteger(), v.minValue(0), v.maxValue(1e9));
const WordSchema = v.strictObject({
  id: v.pipe(v.string(), v.regex(ID)),
  /** Rises with every word: a relay that has died says nothing new. */
  beat: count,
  boards: count,
  /** Relays in all, this one counted. */
  relays: v.pipe(count, v.minValue(1), v.maxValue(10_000)),
  slow: v.pipe(v.number(), v.minValue(1), v.maxValue(MOST_SLOW)),
});
export type RelayWord = v.InferOutput<typeof WordSchema>;

/** Undefined where the text is no relay's word. */
export function readRelayWord(text: unknown): RelayWord | undefined {
  if (typeof text !== "string" || text.length > 300) return undefined;
  try {
    const read = v.safeParse(WordSchema, JSON.parse(text));
    return read.success ? read.output : undefined;
  } catch {
    return undefined;
  }
}
