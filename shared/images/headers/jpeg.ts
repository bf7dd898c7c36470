/**
 * JPEG (ITU-T T.81 Annex B): a row of segments; Exif lies in an APP1, the size in the frame header.
 * Everything before the picture itself is looked at, whatever maker's segments lie between.
 */
import { emptyHeaders, type FileHeaders } from "./file-headers.ts";
import { HeaderError, type Pieces } from "./pieces.ts";
import { readTiff, type TiffBlock, tiffAt } from "./tiff.ts";

const MOST_SEGMENTS = 500;

export function isJpeg(pieces: Pieces, at: number): boolean {
  return (
    at + 3 <= pieces.size &&
    pieces.u8(at) === 0xff &&
    pieces.u8(at + 1) === 0xd8 &&
    pieces.u8(at + 2) === 0xff
  );
}

/** @param begin of a JPEG inside another file; 0 for one that is a file. */
export function readJpeg(pieces: Pieces, begin = 0): FileHeaders {
  let headers: FileHeaders = emptyHeaders("jpeg");
  let size: { widthPx: number; heightPx: number } | null = null;
  let at = begin + 2;
  for (let n = 0; n < MOST_SEGMENTS; n++) {
    if (pieces.u8(at) !== 0xff) throw new HeaderError("a segment does not begin where it should");
    let marker = pieces.u8(at + 1);
    // Fill bytes may stand before a marker.
    for (let fill = 0; marker === 0xff && fill < 64; fill++) marker = pieces.u8(++at + 1);
    if (marker === 0xda || marker === 0xd9) break;
    const length = pieces.u16(at + 2);
    if (length < 2) throw new HeaderError("a segment of it has no length");
    if (marker === 0xe1 && length >= 16 && pieces.text(at + 4, 5) === "Exif" && headers.stamp === null) {
      const block = tiffAt(pieces, at + 10);
      if (block) headers = exifOf(pieces, block, headers);
    }
    if (isFrame(marker) && length >= 8 && size === null)
      size = { heightPx: pieces.u16(at + 5), widthPx: pieces.u16(at + 7) };
    at += 2 + length;
  }
  return size ? { ...headers, ...size } : headers;
}

function exifOf(pieces: Pieces, block: TiffBlock, before: FileHeaders): FileHeaders {
  try {
    return readTiff(pieces, block, "jpeg");
  } catch (error) {
    // The picture is there all the same.
    if (error instanceof HeaderError) return before;
    throw error;
  }
}

/** Start-of-frame markers: C0 to CF without tables and restarts. */
function isFrame(marker: number): boolean {
  return marker >= 0xc0 && marker <= 0xcf && marker !== 0xc4 && marker !== 0xc8 && marker !== 0xcc;
}
