/**
 * TIFF: what Exif is, and most raw formats with it (TIFF 6.0; Exif 3.0; DNG 1.7; TIFF/EP for the
 * time zone). All directories are walked: the chain, those below (SubIFDs) and Exif's and GPS's own.
 *
 * Traps: DateTimeOriginal may stand in the first directory instead of Exif's; sub-seconds and offsets
 * are often absent; a number of ISO that does not fit 16 bits is 65535 and stands elsewhere.
 */
import { type Embedded, emptyHeaders, type FileFormat, type FileHeaders } from "./file-headers.ts";
import { HeaderError, type Pieces } from "./pieces.ts";
import { civilMs, exifStamp } from "./stamps.ts";

/** More are damage, or a trap. */
const MOST_DIRECTORIES = 48;
const MOST_ENTRIES = 2000;

const SIZES: Record<number, number> = {
  1: 1,
  2: 1,
  3: 2,
  4: 4,
  5: 8,
  6: 1,
  7: 1,
  8: 2,
  9: 4,
  10: 8,
  11: 4,
  12: 8,
  13: 4,
};

interface Entry {
  type: number;
  count: number;
  /** Where its value lies, from the file's begin. */
  at: number;
}

interface Directory {
  kind: "image" | "exif" | "gps";
  entries: Map<number, Entry>;
}

const TAG = {
  width: 0x100,
  height: 0x101,
  compression: 0x103,
  make: 0x10f,
  model: 0x110,
  stripOffset: 0x111,
  stripLength: 0x117,
  dateTime: 0x132,
  subDirectories: 0x14a,
  jpegOffset: 0x201,
  jpegLength: 0x202,
  exif: 0x8769,
  gps: 0x8825,
  exposure: 0x829a,
  fNumber: 0x829d,
  iso: 0x8827,
  zoneHours: 0x882a,
  standardSensitivity: 0x8831,
  exposureIndex: 0x8832,
  original: 0x9003,
  digitized: 0x9004,
  offset: 0x9010,
  offsetOriginal: 0x9011,
  offsetDigitized: 0x9012,
  shutterSpeed: 0x9201,
  subSec: 0x9290,
  subSecOriginal: 0x9291,
  subSecDigitized: 0x9292,
  focalLength: 0x920a,
  exifWidth: 0xa002,
  exifHeight: 0xa003,
  serial: 0xa431,
  dngVersion: 0xc612,
} as const;
const GPS_TIME = 7;
const GPS_DATE = 29;

export interface TiffBlock {
  /** Where the TIFF header lies in the file: offsets inside count from there. */
  base: number;
  little: boolean;
  /** 42, or what a maker puts there. */
  magic: number;
  firstDirectory: number;
}

/** Null when there is no TIFF header at this place. */
export function tiffAt(pieces: Pieces, base: number): TiffBlock | null {
  if (base + 8 > pieces.size) return null;
  const order = pieces.u16(base);
  if (order !== 0x4949 && order !== 0x4d4d) return null;
  const little = order === 0x4949;
  const magic = pieces.u16(base + 2, little);
  // 42 by the standard; "RO", "RS" and 0x55 are those of two makers' raw files.
  if (magic !== 42 && magic !== 0x4f52 && magic !== 0x5352 && magic !== 0x55) return null;
  return { base, little, magic, firstDirectory: base + pieces.u32(base + 4, little) };
}

/** @param kind of the first directory: "exif" where a maker puts Exif's own in a block of its own (CR3). */
export function readTiff(
  pieces: Pieces,
  block: TiffBlock,
  format: FileFormat,
  kind: Directory["kind"] = "image",
): FileHeaders {
  const directories = walk(pieces, block, kind);
  const look = new Look(pieces, block, directories);
  const headers = emptyHeaders(format);
  headers.make = look.text(TAG.make);
  headers.model = look.text(TAG.model);
  headers.serial = look.text(TAG.serial);
  headers.exposureS = look.number(TAG.exposure) ?? secondsOf(look.number(TAG.shutterSpeed));
  headers.fNumber = positive(look.number(TAG.fNumber));
  headers.focalLengthMm = positive(look.number(TAG.focalLength));
  headers.iso = isoOf(look, block);
  stampFrom(look, headers);
  headers.gpsUtcMs = gpsUtcMs(pieces, block, directories);
  sizeFrom(pieces, look, directories, block, headers);
  headers.thumbnail = smallestJpeg(pieces, block, directories);
  return headers;
}

/** Where one maker's raw files have a whole JPEG with an Exif of its own; null in all others. */
export function jpegFromRaw(pieces: Pieces, block: TiffBlock): Embedded | null {
  if (block.magic !== 0x55) return null;
  const [first] = walk(pieces, block, "image", 1);
  const entry = first?.entries.get(0x2e);
  return entry && entry.count > 4 ? { offset: entry.at, length: entry.count } : null;
}

/** Which raw format a TIFF file is, by what it says of itself. */
export function tiffFormat(pieces: Pieces, block: TiffBlock): FileFormat {
  if (block.magic === 0x55) return "rw2";
  if (block.magic !== 42) return "orf";
  if (block.base + 10 <= pieces.size && pieces.text(block.base + 8, 2) === "CR") return "cr2";
  const [first] = walk(pieces, block, "image", 1);
  const look = new Look(pieces, block, first ? [first] : []);
  if (look.has(TAG.dngVersion)) return "dng";
  // What only raw files have in their first directory: pictures below it.
  if (!look.has(TAG.subDirectories)) return "tiff";
  const make = (look.text(TAG.make) ?? "").toLowerCase();
  if (make.startsWith("nikon")) return "nef";
  if (make.startsWith("sony")) return "arw";
  if (make.startsWith("pentax") || make.startsWith("ricoh")) return "pef";
  return "tiff";
}

function walk(
  pieces: Pieces,
  block: TiffBlock,
  kind: Directory["kind"],
  most = MOST_DIRECTORIES,
): Directory[] {
  const found: Directory[] = [];
  const seen = new Set<number>();
  const waiting: { at: number; kind: Directory["kind"]; first: boolean }[] = [
    { at: block.firstDirectory, kind, first: true },
  ];
  for (let next = waiting.shift(); next && found.length < most; next = waiting.shift()) {
    if (next.at <= block.base || seen.has(next.at)) continue;
    seen.add(next.at);
    let read: { directory: Directory; follows: number };
    try {
      read = directoryAt(pieces, block, next.at, next.kind);
    } catch (error) {
      // One that cannot be read takes nothing from the others, but the first has to be there.
      if (!(error instanceof HeaderError) || next.first) throw error;
      continue;
    }
    found.push(read.directory);
    const below = (tag: number, to: Directory["kind"]): void => {
      const entry = read.directory.entries.get(tag);
      if (!entry || (entry.type !== 4 && entry.type !== 13)) return;
      for (let i = 0; i < Math.min(entry.count, 16); i++) {
        if (entry.at + 4 * i + 4 > pieces.size) break;
        waiting.push({ at: block.base + pieces.u32(entry.at + 4 * i, block.little), kind: to, first: false });
      }
    };
    below(TAG.exif, "exif");
    below(TAG.gps, "gps");
    if (next.kind === "image") below(TAG.subDirectories, "image");
    if (next.kind === "image" && read.follows !== 0)
      waiting.push({ at: block.base + read.follows, kind: "image", first: false });
  }
  return found;
}

function directoryAt(
  pieces: Pieces,
  { base, little }: TiffBlock,
  at: number,
  kind: Directory["kind"],
): { directory: Directory; follows: number } {
  const count = pieces.u16(at, little);
  if (count > MOST_ENTRIES) throw new HeaderError("a directory in it has too many entries");
  pieces.bytes(at, 2 + 12 * count);
  const entries = new Map<number, Entry>();
  for (let i = 0; i < count; i++) {
    const own = at + 2 + 12 * i;
    const type = pieces.u16(own + 2, little);
    const number = pieces.u32(own + 4, little);
    const size = (SIZES[type] ?? 0) * number;
    if (size === 0) continue;
    const value = size <= 4 ? own + 8 : base + pieces.u32(own + 8, little);
    // One that lies outside is left out: files are cut off, and the rest of it still says something.
    if (value + size > pieces.size) continue;
    const tag = pieces.u16(own, little);
    if (!entries.has(tag)) entries.set(tag, { type, count: number, at: value });
  }
  const end = at + 2 + 12 * count;
  return { directory: { kind, entries }, follows: end + 4 <= pieces.size ? pieces.u32(end, little) : 0 };
}

/** Values by tag: Exif's directories first, then the others in their order. */
class Look {
  private readonly ordered: Directory[];
  constructor(
    private readonly pieces: Pieces,
    private readonly block: TiffBlock,
    directories: readonly Directory[],
  ) {
    const exif = directories.filter(({ kind }) => kind === "exif");
    this.ordered = [...exif, ...directories.filter(({ kind }) => kind === "image")];
  }

  has(tag: number): boolean {
    return this.ordered.some(({ entries }) => entries.has(tag));
  }

  text(tag: number): string | null {
    for (const { entries } of this.ordered) {
      const entry = entries.get(tag);
      if (entry?.type !== 2 || entry.count > 1000) continue;
      const text = this.pieces.text(entry.at, entry.count).trim();
      if (text !== "") return text;
    }
    return null;
  }

  number(tag: number): number | null {
    for (const { entries } of this.ordered) {
      const entry = entries.get(tag);
      const value = entry ? numberAt(this.pieces, this.block, entry, 0) : null;
      if (value !== null) return value;
    }
    return null;
  }
}

/** One of an entry's numbers; null where it has none there. */
function numberAt(
  pieces: Pieces,
  { little }: TiffBlock,
  { type, count, at }: Entry,
  i: number,
): number | null {
  if (i >= count) return null;
  const own = at + i * (SIZES[type] ?? 1);
  const signed = (value: number, bits: number): number =>
    value >= 2 ** (bits - 1) ? value - 2 ** bits : value;
  switch (type) {
    case 1:
      return pieces.u8(own);
    case 3:
      return pieces.u16(own, little);
    case 4:
    case 13:
      return pieces.u32(own, little);
    case 8:
      return signed(pieces.u16(own, little), 16);
    case 9:
      return signed(pieces.u32(own, little), 32);
    case 5:
    case 10: {
      const over = pieces.u32(own, little);
      const under = pieces.u32(own + 4, little);
      const value = type === 5 ? over / under : signed(over, 32) / signed(under, 32);
      return Number.isFinite(value) ? value : null;
    }
    default:
      return null;
  }
}

/** APEX: the exposure is two to the power of minus this (Exif 3.0 Annex C). */
function secondsOf(apex: number | null): number | null {
  return apex === null || Math.abs(apex) > 30 ? null : 2 ** -apex;
}

function positive(value: number | null): number | null {
  return value !== null && value > 0 ? value : null;
}

function isoOf(look: Look, { magic }: TiffBlock): number | null {
  const short = look.number(TAG.iso) ?? (magic === 0x55 ? look.number(0x17) : null);
  if (short !== null && short !== 65_535 && short > 0) return short;
  return positive(look.number(TAG.exposureIndex) ?? look.number(TAG.standardSensitivity) ?? short);
}

function stampFrom(look: Look, headers: FileHeaders): void {
  const zoneHours = look.number(TAG.zoneHours);
  const zone =
    zoneHours === null || Math.abs(zoneHours) > 14
      ? undefined
      : `${zoneHours < 0 ? "-" : "+"}${String(Math.abs(zoneHours)).padStart(2, "0")}:00`;
  const from = (field: string, tag: number, subSec: number, offset: number): FileHeaders["stamp"] => {
    const text = look.text(tag);
    if (text === null) return null;
    return exifStamp(field, text, look.text(subSec) ?? undefined, look.text(offset) ?? zone);
  };
  headers.stamp =
    from("DateTimeOriginal", TAG.original, TAG.subSecOriginal, TAG.offsetOriginal) ??
    from("DateTimeDigitized", TAG.digitized, TAG.subSecDigitized, TAG.offsetDigitized);
  if (headers.stamp) return;
  headers.stamp = from("DateTime", TAG.dateTime, TAG.subSec, TAG.offset);
  if (headers.stamp) headers.warnings.push("time of change only");
}

/** GPSDateStamp and GPSTimeStamp, which are UTC (Exif 3.0 §4.6.7). */
function gpsUtcMs(pieces: Pieces, block: TiffBlock, directories: readonly Directory[]): number | null {
  for (const { kind, entries } of directories) {
    const date = entries.get(GPS_DATE);
    const time = entries.get(GPS_TIME);
    if (kind !== "gps" || date?.type !== 2 || date.count > 20 || time?.type !== 5) continue;
    const day = /^(\d{4})[:-](\d\d)[:-](\d\d)/.exec(pieces.text(date.at, date.count));
    const [h, m, s] = [0, 1, 2].map((i) => numberAt(pieces, block, time, i));
    if (!day || h == null || m == null || s == null || h > 23 || m > 59 || s >= 61) continue;
    const midnight = civilMs(`${day[1]}-${day[2]}-${day[3]}`, "00:00:00");
    if (midnight !== null) return midnight + (h * 3600 + m * 60 + s) * 1000;
  }
  return null;
}

/** The largest picture's: previews are smaller. */
function sizeFrom(
  pieces: Pieces,
  look: Look,
  directories: readonly Directory[],
  block: TiffBlock,
  headers: FileHeaders,
): void {
  let most = 0;
  for (const directory of directories) {
    if (directory.kind !== "image") continue;
    const only = new Look(pieces, block, [directory]);
    const [width, height] =
      block.magic === 0x55 && directory === directories[0]
        ? [difference(only, 7, 5), difference(only, 6, 4)]
        : [only.number(TAG.width), only.number(TAG.height)];
    if (!width || !height || width * height <= most) continue;
    most = width * height;
    [headers.widthPx, headers.heightPx] = [width, height];
  }
  if (most > 0) return;
  headers.widthPx = positive(look.number(TAG.exifWidth));
  headers.heightPx = positive(look.number(TAG.exifHeight));
}

/** One maker gives the sensor's borders instead of a size. */
function difference(look: Look, to: number, from: number): number | null {
  const [a, b] = [look.number(to), look.number(from)];
  return a === null || b === null ? null : a - b;
}

function smallestJpeg(pieces: Pieces, block: TiffBlock, directories: readonly Directory[]): Embedded | null {
  return jpegsOf(pieces, block, directories).sort((a, b) => a.length - b.length)[0] ?? null;
}

/** All that its directories say to be a JPEG, lossless ones of a sensor among them. */
export function jpegsInTiff(pieces: Pieces, block: TiffBlock): Embedded[] {
  return jpegsOf(pieces, block, walk(pieces, block, "image"));
}

function jpegsOf(pieces: Pieces, block: TiffBlock, directories: readonly Directory[]): Embedded[] {
  const found: Embedded[] = [];
  for (const { kind, entries } of directories) {
    if (kind !== "image") continue;
    const one = (tag: number): number | null => {
      const entry = entries.get(tag);
      return entry?.count === 1 ? numberAt(pieces, block, entry, 0) : null;
    };
    const compression = one(TAG.compression);
    const add = (offset: number | null, length: number | null): void => {
      if (!offset || !length || length < 100 || block.base + offset + length > pieces.size) return;
      found.push({ offset: block.base + offset, length });
    };
    add(one(TAG.jpegOffset), one(TAG.jpegLength));
    // 6 and 7 are JPEG; a raw picture's own lossless JPEG is 7, too, and far too large for a thumbnail.
    if (compression === 6 || compression === 7) add(one(TAG.stripOffset), one(TAG.stripLength));
  }
  return found;
}
