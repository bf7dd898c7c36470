/**
 * MOV and MP4 (ISO/IEC 14496-12; QuickTime File Format). When the recording began is said in many
 * places; the first here that is there counts:
 *
 * 1. `com.apple.quicktime.creationdate` in the movie's metadata: with its offset.
 * 2. `©day` in the user data: with its offset where the camera writes one.
 * 3. A creation date in a maker's XML beside the movie, with its offset.
 * 4. Exif of one maker's: of a still inside the user data (CNDA), or in a box of its own (cr3.ts); from memory.
 * 5. `mvhd`: whole seconds since 1904, by the standard UTC; many cameras put local time there (common
 *    practice, no source), so that it says nothing of its offset and warns.
 */
import { isoUtc } from "../../time/iso.ts";
import { type Box, boxAt, boxesIn, boxIn, letters } from "./boxes.ts";
import { makerHeaders } from "./cr3.ts";
import { emptyHeaders, type FileHeaders, type Stamp } from "./file-headers.ts";
import { isJpeg, readJpeg } from "./jpeg.ts";
import { HeaderError, type Pieces, textOf } from "./pieces.ts";
import { isoStamp } from "./stamps.ts";

/** Seconds from 1904-01-01 to 1970-01-01. */
const FROM_1904_S = 2_082_844_800;
const MOST_KEYS = 500;
const MOST_XML = 64 * 1024;

export function readMovie(pieces: Pieces, format: "mov" | "mp4"): FileHeaders {
  const movie = boxIn(pieces, 0, pieces.size, "moov");
  if (!movie) throw new HeaderError("its index is missing: the recording was not finished");
  const headers = emptyHeaders(format, "video");
  const head = boxIn(pieces, movie.at, movie.end, "mvhd");
  const mvhd = head && headOf(pieces, head);
  headers.durationS = mvhd?.durationS ?? null;
  Object.assign(headers, sizeOf(pieces, movie));
  const keys = keysOf(pieces, movie);
  const words = userData(pieces, movie);
  const still = makerHeaders(pieces, movie) ?? stillIn(pieces, movie);
  headers.make = keys.get("com.apple.quicktime.make") ?? words.get("©mak") ?? still?.make ?? null;
  headers.model = keys.get("com.apple.quicktime.model") ?? words.get("©mod") ?? still?.model ?? null;
  headers.thumbnail = still?.thumbnail ?? null;
  headers.stamp =
    stampOf("creationdate", keys.get("com.apple.quicktime.creationdate")) ??
    stampOf("©day", words.get("©day")) ??
    stampOf("CreationDate", creationInXml(pieces, movie)) ??
    still?.stamp ??
    null;
  if (headers.stamp === null && mvhd && mvhd.createdS > FROM_1904_S) {
    headers.stamp = mvhdStamp(mvhd.createdS - FROM_1904_S);
    headers.warnings.push("may be local time");
  }
  return headers;
}

/** A year alone, as music has it, is no time. */
function stampOf(field: string, text: string | undefined): Stamp | null {
  const stamp = text === undefined ? null : isoStamp(field, text);
  return stamp && stamp.stepMs <= 60_000 ? stamp : null;
}

function mvhdStamp(sinceS: number): Stamp {
  const text = isoUtc(sinceS * 1000).slice(0, 19);
  return { text, localMs: sinceS * 1000, stepMs: 1000, offsetMin: null, field: "mvhd" };
}

function headOf(pieces: Pieces, { at }: Box): { createdS: number; durationS: number | null } {
  const long = pieces.u8(at) === 1;
  const createdS = long ? pieces.u64(at + 4) : pieces.u32(at + 4);
  const scale = pieces.u32(at + (long ? 20 : 12));
  const duration = long ? pieces.u64(at + 24) : pieces.u32(at + 16);
  const unknown = scale === 0 || (!long && duration === 0xffffffff);
  // A date beyond the year 3000 is none.
  return { createdS: createdS > 4e10 ? 0 : createdS, durationS: unknown ? null : duration / scale };
}

/** The largest track's, in whole pixels. */
function sizeOf(pieces: Pieces, movie: Box): { widthPx: number; heightPx: number } | null {
  let best: { widthPx: number; heightPx: number } | null = null;
  for (const track of boxesIn(pieces, movie.at, movie.end)) {
    if (track.type !== "trak") continue;
    const head = boxIn(pieces, track.at, track.end, "tkhd");
    if (!head) continue;
    const at = head.at + (pieces.u8(head.at) === 1 ? 88 : 76);
    const [widthPx, heightPx] = [pieces.u32(at) / 65_536, pieces.u32(at + 4) / 65_536];
    if (widthPx * heightPx > (best ? best.widthPx * best.heightPx : 0))
      best = { widthPx: Math.round(widthPx), heightPx: Math.round(heightPx) };
  }
  return best;
}

/** "meta" begins with a version in MP4 and without one in QuickTime. */
function insideMeta(pieces: Pieces, box: Box): Box {
  const plain = box.at + 8 <= box.end && letters(pieces, box.at + 4) === "hdlr";
  return plain ? box : { ...box, at: box.at + 4 };
}

/** Values of the movie's metadata by their keys (QuickTime File Format, "Metadata"). */
function keysOf(pieces: Pieces, movie: Box): Map<string, string> {
  const found = new Map<string, string>();
  const box = boxIn(pieces, movie.at, movie.end, "meta");
  if (!box) return found;
  const meta = insideMeta(pieces, box);
  const keys = boxIn(pieces, meta.at, meta.end, "keys");
  const list = boxIn(pieces, meta.at, meta.end, "ilst");
  if (!keys || !list) return found;
  const names: string[] = [];
  for (const key of boxesIn(pieces, keys.at + 8, keys.end)) {
    if (names.length >= MOST_KEYS) break;
    names.push(pieces.text(key.at, Math.min(key.end - key.at, 200)));
  }
  for (const item of boxesIn(pieces, list.at, list.end)) {
    // The "type" of an item is the number of its key.
    const name = names[pieces.u32(item.at - 4) - 1];
    const text = dataText(pieces, item);
    if (name !== undefined && text !== null) found.set(name, text);
  }
  return found;
}

/** Text of an item's "data" box; null where it is none. */
function dataText(pieces: Pieces, item: Box): string | null {
  const data = boxIn(pieces, item.at, item.end, "data");
  if (!data || data.end - data.at < 8) return null;
  return pieces.text(data.at + 8, Math.min(data.end - data.at - 8, 200));
}

/** "©day" and its like: a length, a language, a text (QuickTime), or items as above (MP4). */
function userData(pieces: Pieces, movie: Box): Map<string, string> {
  const found = new Map<string, string>();
  const user = boxIn(pieces, movie.at, movie.end, "udta");
  if (!user) return found;
  for (const box of boxesIn(pieces, user.at, user.end)) {
    if (box.type.startsWith("©") && box.end - box.at > 4) {
      const length = Math.min(pieces.u16(box.at), box.end - box.at - 4, 200);
      found.set(box.type, pieces.text(box.at + 4, length));
    }
    if (box.type !== "meta") continue;
    const meta = insideMeta(pieces, box);
    const list = boxIn(pieces, meta.at, meta.end, "ilst");
    if (!list) continue;
    for (const item of boxesIn(pieces, list.at, list.end)) {
      const text = item.type.startsWith("©") ? dataText(pieces, item) : null;
      if (text !== null && !found.has(item.type)) found.set(item.type, text);
    }
  }
  return found;
}

/** `CreationDate value="…"` in the XML of a "meta" box, of the file or of the movie. */
function creationInXml(pieces: Pieces, movie: Box): string | undefined {
  for (const box of [boxIn(pieces, movie.at, movie.end, "meta"), boxIn(pieces, 0, pieces.size, "meta")]) {
    if (!box) continue;
    const meta = insideMeta(pieces, box);
    const xml = boxIn(pieces, meta.at, meta.end, "xml ");
    if (!xml) continue;
    const text = textOf(pieces.bytes(xml.at + 4, Math.max(0, Math.min(xml.end - xml.at - 4, MOST_XML))));
    const found = /<CreationDate\s+value="([^"]{10,40})"/.exec(text)?.[1];
    if (found) return found;
  }
  return undefined;
}

function stillIn(pieces: Pieces, movie: Box): FileHeaders | null {
  const box = boxAt(pieces, movie, "udta", "CNTH", "CNDA");
  if (!box || !isJpeg(pieces, box.at)) return null;
  try {
    const still = readJpeg(pieces, box.at);
    return { ...still, thumbnail: still.thumbnail ?? { offset: box.at, length: box.end - box.at } };
  } catch (error) {
    if (error instanceof HeaderError) return null;
    throw error;
  }
}
