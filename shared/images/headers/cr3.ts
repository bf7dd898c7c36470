/**
 * CR3: ISO base media boxes with Exif cut into blocks, each a TIFF of its own: the first directory
 * (CMT1), Exif's (CMT2), GPS's (CMT4), and a thumbnail (THMB), all in one box of the maker's in "moov".
 * No published standard: the layout is from memory, as public descriptions of the format have it.
 */
import { type Box, boxesIn, boxIn } from "./boxes.ts";
import { completedBy, type Embedded, emptyHeaders, type FileHeaders } from "./file-headers.ts";
import { HeaderError, type Pieces } from "./pieces.ts";
import { readTiff, tiffAt } from "./tiff.ts";

const MAKER_BOX = "85c0b687820f11e08111f4ce462b6a48";

export function readCr3(pieces: Pieces): FileHeaders {
  const movie = boxIn(pieces, 0, pieces.size, "moov");
  const headers = movie && makerHeaders(pieces, movie);
  if (!headers) throw new HeaderError("its header is missing");
  return headers;
}

/** What the maker's box in a "moov" says; that maker's movies have it, too. Null where there is none. */
export function makerHeaders(pieces: Pieces, movie: Box): FileHeaders | null {
  const own = makerBox(pieces, movie);
  if (!own) return null;
  let headers: FileHeaders = emptyHeaders("cr3");
  let thumbnail: Embedded | null = null;
  for (const box of boxesIn(pieces, own.at, own.end)) {
    const kind = ({ CMT1: "image", CMT2: "exif", CMT4: "gps" } as const)[box.type as "CMT1"];
    const block = kind && tiffAt(pieces, box.at);
    if (block) headers = merged(headers, readTiff(pieces, block, "cr3", kind));
    if (box.type === "THMB") thumbnail = thumbnailIn(pieces, box);
  }
  return { ...headers, thumbnail };
}

function makerBox(pieces: Pieces, movie: Box): Box | null {
  for (const box of boxesIn(pieces, movie.at, movie.end)) {
    if (box.type !== "uuid") continue;
    const id = [...pieces.bytes(box.at - 16, 16)].map((byte) => byte.toString(16).padStart(2, "0")).join("");
    if (id === MAKER_BOX) return box;
  }
  return null;
}

/** What each block says; the time is Exif's where it has one. */
function merged(a: FileHeaders, b: FileHeaders): FileHeaders {
  const rank = ({ stamp }: FileHeaders): number => (stamp === null ? 0 : stamp.field === "DateTime" ? 1 : 2);
  const { stamp, warnings } = rank(b) > rank(a) ? b : a;
  return {
    ...completedBy(a, b),
    stamp,
    warnings,
    gpsUtcMs: a.gpsUtcMs ?? b.gpsUtcMs,
    widthPx: a.widthPx ?? b.widthPx,
    heightPx: a.heightPx ?? b.heightPx,
  };
}

/** A short head, then a JPEG: found by how it begins. */
function thumbnailIn(pieces: Pieces, { at, end }: Box): Embedded | null {
  for (let offset = at; offset < Math.min(at + 32, end - 2); offset++)
    if (pieces.u8(offset) === 0xff && pieces.u8(offset + 1) === 0xd8) return { offset, length: end - offset };
  return null;
}
