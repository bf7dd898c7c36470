/**
 * The header of an image or a video, whatever camera wrote it: JPEG, HEIC, TIFF and the raw formats made
 * of it, CR3, RAF, FITS, MOV, MP4. By what the file is, not by its name.
 *
 * The first 64 kB are read, and what else its own words point to. A damaged file ends in `HeaderError`:
 * reads and looks are bounded, whatever lengths and loops are in it.
 */
import { letters } from "./boxes.ts";
import { readCr3 } from "./cr3.ts";
import { completedBy, type FileHeaders } from "./file-headers.ts";
import { isFits, readFits } from "./fits.ts";
import { readHeic } from "./heic.ts";
import { isJpeg, readJpeg } from "./jpeg.ts";
import { readMovie } from "./movie.ts";
import { HeaderError, MissingBytes, Pieces } from "./pieces.ts";
import { jpegFromRaw, readTiff, tiffAt, tiffFormat } from "./tiff.ts";

/** A file that can be read anywhere. Fewer bytes than asked for means that it has become shorter. */
export interface ByteSource {
  size: number;
  read(offset: number, length: number): Promise<Uint8Array>;
}

export const FIRST_BYTES = 64 * 1024;
/** What is fetched at once beyond that: directories lie together. */
const NEXT_BYTES = 16 * 1024;
/** A movie's index behind its pictures, and what it points to: some five. */
const MOST_READS = 24;

/** Rejects with HeaderError for what is no such file or damaged, and with what the source throws. */
export function readHeaders(source: ByteSource): Promise<FileHeaders> {
  return readPieces(source, (pieces) => finished(headersIn(pieces)));
}

/** What `look` finds in a file, fetched piece by piece; it is begun anew after each. */
export async function readPieces<Found>(source: ByteSource, look: (pieces: Pieces) => Found): Promise<Found> {
  if (source.size < 16) throw new HeaderError("it is empty or nearly so");
  const pieces = new Pieces(source.size);
  let wanted = { offset: 0, length: Math.min(FIRST_BYTES, source.size) };
  for (let reads = 0; reads < MOST_READS; reads++) {
    const bytes = await source.read(wanted.offset, wanted.length);
    if (bytes.length < wanted.length) throw new HeaderError("it ends before it should");
    pieces.add(wanted.offset, bytes);
    try {
      return look(pieces);
    } catch (error) {
      if (!(error instanceof MissingBytes)) throw error;
      const length = Math.max(error.length, NEXT_BYTES);
      wanted = { offset: error.offset, length: Math.min(length, source.size - error.offset) };
    }
  }
  throw new HeaderError("its header is in too many pieces");
}

function finished(headers: FileHeaders): FileHeaders {
  if (headers.stamp === null && !headers.warnings.includes("no time"))
    return { ...headers, warnings: [...headers.warnings, "no time"] };
  return headers;
}

function headersIn(pieces: Pieces): FileHeaders {
  if (isJpeg(pieces, 0)) return readJpeg(pieces);
  if (pieces.text(0, 15) === "FUJIFILMCCD-RAW") return readRaf(pieces);
  if (isFits(pieces)) return readFits(pieces);
  const tiff = tiffAt(pieces, 0);
  if (tiff) {
    const headers = readTiff(pieces, tiff, tiffFormat(pieces, tiff));
    const preview = jpegFromRaw(pieces, tiff);
    if (preview === null || !isJpeg(pieces, preview.offset)) return headers;
    return withPreview(headers, readJpeg(pieces, preview.offset));
  }
  return readMedia(pieces);
}

/** What a raw file itself lacks, from the whole JPEG inside it. */
function withPreview(headers: FileHeaders, preview: FileHeaders): FileHeaders {
  const own = headers.stamp !== null && !headers.warnings.includes("time of change only");
  const warnings =
    own || preview.stamp === null ? headers.warnings : [...preview.warnings, "time of preview" as const];
  return {
    ...completedBy(headers, preview),
    stamp: own ? headers.stamp : (preview.stamp ?? headers.stamp),
    thumbnail: preview.thumbnail ?? headers.thumbnail,
    warnings,
  };
}

/** RAF: a head with the place of a whole JPEG, whose Exif is the camera's. The layout is from memory. */
function readRaf(pieces: Pieces): FileHeaders {
  const at = pieces.u32(84);
  if (!isJpeg(pieces, at)) throw new HeaderError("its preview, where the time stands, is missing");
  return { ...readJpeg(pieces, at), format: "raf" };
}

/** "ftyp" says what it is; old QuickTime movies begin without one. */
function readMedia(pieces: Pieces): FileHeaders {
  const type = letters(pieces, 4);
  if (["moov", "mdat", "wide", "free", "skip", "pnot"].includes(type)) return readMovie(pieces, "mov");
  if (type !== "ftyp") throw new HeaderError("it is no image or video that can be read here");
  const end = Math.min(pieces.u32(0), 256, pieces.size);
  const brands: string[] = [];
  for (let at = 8; at + 4 <= end; at += at === 8 ? 8 : 4) brands.push(letters(pieces, at));
  const [major = ""] = brands;
  if (major === "crx ") return readCr3(pieces);
  const still = ["heic", "heix", "heim", "heis", "mif1", "msf1", "hevc", "hevx", "avif"];
  if (still.includes(major)) return readHeic(pieces);
  return readMovie(pieces, major === "qt  " ? "mov" : "mp4");
}
