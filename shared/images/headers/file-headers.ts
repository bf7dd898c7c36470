/** What the header of an image or a video says of itself: the contract of shared/images/headers. */

export const FILE_FORMATS = [
  "jpeg",
  "heic",
  "tiff",
  "dng",
  "cr2",
  "cr3",
  "nef",
  "arw",
  "orf",
  "rw2",
  "raf",
  "pef",
  "fits",
  "mov",
  "mp4",
] as const;
export type FileFormat = (typeof FILE_FORMATS)[number];

/** When it was taken, as its own clock had it. */
export interface Stamp {
  /** As it stands in the file, its parts joined: "2027:08:02 12:02:07.35+02:00". */
  text: string;
  /** The face of the clock read as if it were UTC, ms since 1970. */
  localMs: number;
  /** To what it is cut down: 1000 for whole seconds, 10 for hundredths. */
  stepMs: number;
  /** Minutes that its clock is ahead of UTC by its own word, 0 where it says UTC; null where it says nothing. */
  offsetMin: number | null;
  /** Which field it is, by the name its standard gives it. */
  field: string;
}

/** A JPEG that lies in the file as it is. */
export interface Embedded {
  offset: number;
  length: number;
}

export const HEADER_WARNINGS = [
  /** Only the time of the last change is there: a program may have set it. */
  "time of change only",
  /** Videos: by the standard UTC, but many cameras put local time there. */
  "may be local time",
  /** The time is that of an embedded preview. */
  "time of preview",
  /** Nothing says when it was taken. */
  "no time",
] as const;
export type HeaderWarning = (typeof HEADER_WARNINGS)[number];

export interface FileHeaders {
  format: FileFormat;
  kind: "image" | "video";
  /** Begin of the exposure or of the recording; null where the file says nothing. */
  stamp: Stamp | null;
  /** What GPS gave the camera, UTC ms; mostly of its last fix. */
  gpsUtcMs: number | null;
  exposureS: number | null;
  fNumber: number | null;
  iso: number | null;
  focalLengthMm: number | null;
  make: string | null;
  model: string | null;
  serial: string | null;
  widthPx: number | null;
  heightPx: number | null;
  /** Videos only. */
  durationS: number | null;
  /** The smallest picture inside that a browser can show. */
  thumbnail: Embedded | null;
  warnings: HeaderWarning[];
}

export function emptyHeaders(format: FileFormat, kind: FileHeaders["kind"] = "image"): FileHeaders {
  return {
    format,
    kind,
    stamp: null,
    gpsUtcMs: null,
    exposureS: null,
    fNumber: null,
    iso: null,
    focalLengthMm: null,
    make: null,
    model: null,
    serial: null,
    widthPx: null,
    heightPx: null,
    durationS: null,
    thumbnail: null,
    warnings: [],
  };
}

/** How it was taken and by which camera, where the first says nothing of it by the second; all else is the first's. */
export function completedBy(headers: FileHeaders, other: FileHeaders): FileHeaders {
  return {
    ...headers,
    exposureS: headers.exposureS ?? other.exposureS,
    fNumber: headers.fNumber ?? other.fNumber,
    iso: headers.iso ?? other.iso,
    focalLengthMm: headers.focalLengthMm ?? other.focalLengthMm,
    make: headers.make ?? other.make,
    model: headers.model ?? other.model,
    serial: headers.serial ?? other.serial,
  };
}
