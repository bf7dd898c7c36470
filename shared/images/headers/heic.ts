/**
 * HEIC: pictures in ISO base media boxes (ISO/IEC 23008-12; items: ISO/IEC 14496-12 §8.11). Exif is an
 * item: the list of items names it, the list of places says where it lies; four bytes before its TIFF
 * header say how far that is (23008-12 Annex A). The size is a property of the main picture.
 */
import { type Box, boxAt, boxesIn, boxIn, letters } from "./boxes.ts";
import { emptyHeaders, type FileHeaders } from "./file-headers.ts";
import { HeaderError, type Pieces } from "./pieces.ts";
import { readTiff, tiffAt } from "./tiff.ts";

const MOST_ITEMS = 5000;

/** Content of a box that begins with a version and flags. */
function full({ at, end, type }: Box): Box {
  return { type, at: at + 4, end };
}

export function readHeic(pieces: Pieces): FileHeaders {
  const whole = boxIn(pieces, 0, pieces.size, "meta");
  if (!whole) throw new HeaderError("it lists no pictures");
  const meta = full(whole);
  const exif = exifItem(pieces, meta);
  const place = exif === null ? null : placeOf(pieces, meta, exif);
  const headers = place === null ? emptyHeaders("heic") : exifAt(pieces, place);
  const size = sizeOf(pieces, meta);
  return size ? { ...headers, ...size } : headers;
}

function exifAt(pieces: Pieces, { offset, length }: { offset: number; length: number }): FileHeaders {
  if (length < 12) return emptyHeaders("heic");
  const skip = pieces.u32(offset);
  const block = skip < length ? tiffAt(pieces, offset + 4 + skip) : null;
  return block ? readTiff(pieces, block, "heic") : emptyHeaders("heic");
}

/** Number of the item that is Exif. */
function exifItem(pieces: Pieces, meta: Box): number | null {
  const list = boxIn(pieces, meta.at, meta.end, "iinf");
  if (!list) return null;
  const version = pieces.u8(list.at);
  const from = list.at + 4 + (version === 0 ? 2 : 4);
  for (const entry of boxesIn(pieces, from, list.end)) {
    if (entry.type !== "infe") continue;
    const own = pieces.u8(entry.at);
    if (own < 2) continue;
    const wide = own >= 3;
    const id = wide ? pieces.u32(entry.at + 4) : pieces.u16(entry.at + 4);
    if (letters(pieces, entry.at + (wide ? 10 : 8)) === "Exif") return id;
  }
  return null;
}

/** Where an item lies, when it lies in one piece in this file. */
function placeOf(pieces: Pieces, meta: Box, item: number): { offset: number; length: number } | null {
  const box = boxIn(pieces, meta.at, meta.end, "iloc");
  if (!box) return null;
  const version = pieces.u8(box.at);
  if (version > 2) return null;
  const sizes = pieces.u16(box.at + 4);
  const [offsetSize, lengthSize, baseSize] = [sizes >> 12, (sizes >> 8) & 15, (sizes >> 4) & 15];
  const indexSize = version === 0 ? 0 : sizes & 15;
  let at = box.at + 6;
  const take = (size: number): number => {
    if (![0, 2, 4, 8].includes(size)) throw new HeaderError("its list of places cannot be read");
    const from = at;
    at += size;
    if (at > box.end) throw new HeaderError("its list of places ends too early");
    return size === 0 ? 0 : size === 2 ? pieces.u16(from) : size === 4 ? pieces.u32(from) : pieces.u64(from);
  };
  const items = take(version === 2 ? 4 : 2);
  for (let n = 0; n < Math.min(items, MOST_ITEMS); n++) {
    const id = take(version === 2 ? 4 : 2);
    const method = version === 0 ? 0 : take(2) & 15;
    take(2);
    const base = take(baseSize);
    const extents = take(2);
    for (let extent = 0; extent < extents; extent++) {
      take(indexSize);
      const offset = base + take(offsetSize);
      const length = take(lengthSize);
      if (id !== item) continue;
      if (method === 0) return { offset, length };
      const data = method === 1 ? boxIn(pieces, meta.at, meta.end, "idat") : null;
      return data ? { offset: data.at + offset, length } : null;
    }
  }
  return null;
}

/** Width and height of the main picture as it is stored. */
function sizeOf(pieces: Pieces, meta: Box): { widthPx: number; heightPx: number } | null {
  const main = boxIn(pieces, meta.at, meta.end, "pitm");
  const store = boxAt(pieces, meta, "iprp", "ipco");
  const uses = boxAt(pieces, meta, "iprp", "ipma");
  if (!main || !store || !uses) return null;
  const item = pieces.u8(main.at) === 0 ? pieces.u16(main.at + 4) : pieces.u32(main.at + 4);
  const properties = [...boxesIn(pieces, store.at, store.end)];
  let size: { widthPx: number; heightPx: number } | null = null;
  for (const number of propertiesOf(pieces, uses, item)) {
    const property = properties[number - 1];
    if (property?.type === "ispe")
      size = { widthPx: pieces.u32(property.at + 4), heightPx: pieces.u32(property.at + 8) };
  }
  return size;
}

function* propertiesOf(pieces: Pieces, uses: Box, item: number): Generator<number> {
  const version = pieces.u8(uses.at);
  const wide = (pieces.u8(uses.at + 3) & 1) === 1;
  const entries = pieces.u32(uses.at + 4);
  let at = uses.at + 8;
  for (let n = 0; n < Math.min(entries, MOST_ITEMS) && at < uses.end; n++) {
    const id = version === 0 ? pieces.u16(at) : pieces.u32(at);
    at += version === 0 ? 2 : 4;
    const count = pieces.u8(at++);
    for (let i = 0; i < count; i++) {
      const number = wide ? pieces.u16(at) & 0x7fff : pieces.u8(at) & 0x7f;
      at += wide ? 2 : 1;
      if (id === item) yield number;
    }
  }
}
