/**
 * The picture that a raw file carries to be shown: the largest JPEG in it that a browser can open. TIFF and
 * what is made of it say it in their directories (TIFF 6.0; DNG 1.7), RAF and RW2 in their heads, CR3 in a box
 * of its maker's and as a track of one sample (ISO/IEC 14496-12 §8.7; those layouts are from memory). Where it
 * stands in maker's notes alone (ORF) it is not found.
 */
import { type Box, boxAt, boxesIn, boxIn, letters } from "./boxes.ts";
import type { Embedded } from "./file-headers.ts";
import { isJpeg } from "./jpeg.ts";
import { HeaderError, type Pieces } from "./pieces.ts";
import { type ByteSource, readPieces } from "./read-headers.ts";
import { jpegFromRaw, jpegsInTiff, tiffAt } from "./tiff.ts";

const MOST_SEGMENTS = 200;
/** Looked at, the largest first: more are damage. */
const MOST_CANDIDATES = 8;

/** Null where there is none. Rejects with HeaderError for a damaged file, and with what the source throws. */
export function previewIn(source: ByteSource): Promise<Embedded | null> {
  return readPieces(source, (pieces) => {
    const candidates = candidatesIn(pieces)
      .filter(({ offset, length }) => offset >= 0 && length > 0 && offset + length <= pieces.size)
      .sort((a, b) => b.length - a.length)
      .slice(0, MOST_CANDIDATES);
    return candidates.find((one) => isShowable(pieces, one)) ?? null;
  });
}

function candidatesIn(pieces: Pieces): Embedded[] {
  if (pieces.text(0, 15) === "FUJIFILMCCD-RAW") return [{ offset: pieces.u32(84), length: pieces.u32(88) }];
  const block = tiffAt(pieces, 0);
  if (block) {
    const whole = jpegFromRaw(pieces, block);
    return [...(whole ? [whole] : []), ...jpegsInTiff(pieces, block)];
  }
  return letters(pieces, 4) === "ftyp" && letters(pieces, 8) === "crx " ? inCr3(pieces) : [];
}

function inCr3(pieces: Pieces): Embedded[] {
  const found: Embedded[] = [];
  for (const box of boxesIn(pieces, 0, pieces.size)) {
    if (box.type === "moov") {
      for (const track of boxesIn(pieces, box.at, box.end))
        if (track.type === "trak") found.push(...onlySample(pieces, track));
    }
    // A few bytes of the maker's stand before the box that holds the preview.
    if (box.type !== "uuid" || box.end - box.at < 32 || letters(pieces, box.at + 12) !== "PRVW") continue;
    const length = pieces.u32(box.at + 8);
    for (let offset = box.at + 16; offset < box.at + 48 && offset + 3 <= box.end; offset++)
      if (isJpeg(pieces, offset)) {
        found.push({ offset, length: Math.min(box.at + 8 + length, box.end) - offset });
        break;
      }
  }
  return found;
}

/** Of a track with one sample where it lies, whatever it is. */
function onlySample(pieces: Pieces, track: Box): Embedded[] {
  const table = boxAt(pieces, track, "mdia", "minf", "stbl");
  const sizes = table && boxIn(pieces, table.at, table.end, "stsz");
  if (!table || !sizes) return [];
  const same = pieces.u32(sizes.at + 4);
  const count = pieces.u32(sizes.at + 8);
  const length = same !== 0 ? same : count === 1 ? pieces.u32(sizes.at + 12) : 0;
  const near = boxIn(pieces, table.at, table.end, "stco");
  const far = boxIn(pieces, table.at, table.end, "co64");
  if (near && pieces.u32(near.at + 4) > 0) return [{ offset: pieces.u32(near.at + 8), length }];
  if (far && pieces.u32(far.at + 4) > 0) return [{ offset: pieces.u64(far.at + 8), length }];
  return [];
}

/** Baseline, extended or progressive (ITU-T T.81, table B.1): a sensor's own lossless JPEG is C3. */
function isShowable(pieces: Pieces, { offset, length }: Embedded): boolean {
  try {
    if (!isJpeg(pieces, offset)) return false;
    let at = offset + 2;
    for (let n = 0; n < MOST_SEGMENTS && at + 4 <= offset + length; n++) {
      if (pieces.u8(at) !== 0xff) return false;
      const marker = pieces.u8(at + 1);
      if (marker >= 0xc0 && marker <= 0xc2) return true;
      if ((marker > 0xc2 && marker <= 0xcf && marker !== 0xc4 && marker !== 0xcc) || marker === 0xda)
        return false;
      at += marker === 0xff ? 1 : 2 + pieces.u16(at + 2);
    }
    return false;
  } catch (error) {
    if (error instanceof HeaderError) return false;
    throw error;
  }
}
