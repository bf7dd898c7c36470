/**
 * Photographs of the clock, one after the other: header, then code. Nothing leaves the browser; what
 * comes of each is a sighting or the reason why not.
 */
import type { Sighting } from "../../../../shared/fields/camera-clock.ts";
import {
  type NoSighting,
  type PhotographHeader,
  sightingOf,
} from "../../../../shared/images/camera-clock/from-photograph.ts";
import type { FileFormat } from "../../../../shared/images/headers/file-headers.ts";
import { previewIn } from "../../../../shared/images/headers/preview.ts";
import { readHeaders } from "../../../../shared/images/headers/read-headers.ts";
import { sourceOfFile } from "../file-source.ts";
import type { Decoder } from "./decoder.ts";

export interface ReadPhotograph {
  key: number;
  file: File;
  /** What of it the browser can open: of a raw file the picture inside it. */
  picture: Blob;
  header: PhotographHeader | null;
  /** What the camera calls itself. */
  model: string | null;
  sighting: Sighting | null;
  /** Why there is no sighting; null where there is one. */
  why: NoSighting | "no header" | "not opened" | "video" | null;
}

let keys = 0;

/** Never rejects: what cannot be read says so. */
export async function readPhotograph(file: File, decoder: Decoder): Promise<ReadPhotograph> {
  keys += 1;
  const none: Omit<ReadPhotograph, "why"> = {
    key: keys,
    file,
    picture: file,
    header: null,
    model: null,
    sighting: null,
  };
  let header: PhotographHeader;
  let model: string | null;
  try {
    const found = await readHeaders(sourceOfFile(file));
    if (found.kind === "video") return { ...none, why: "video" };
    if (isRaw(found.format)) none.picture = await pictureInside(file);
    header = { stamp: found.stamp, exposureS: found.exposureS };
    model = found.model;
  } catch {
    return { ...none, why: "no header" };
  }
  return decoded({ ...none, header, model, why: "no code" }, () => decoder.decode(none.picture));
}

/** What a browser shows by itself, or tries to. */
const SHOWN: ReadonlySet<FileFormat> = new Set(["jpeg", "heic"]);
const isRaw = (format: FileFormat): boolean => !SHOWN.has(format);

async function pictureInside(file: File): Promise<Blob> {
  const place = await previewIn(sourceOfFile(file));
  return place ? file.slice(place.offset, place.offset + place.length, "image/jpeg") : file;
}

/** Tries a photograph again with what somebody has cut out of it. */
export async function decoded(
  photo: ReadPhotograph,
  texts: () => Promise<string[]>,
): Promise<ReadPhotograph> {
  if (!photo.header?.stamp) return { ...photo, why: photo.header ? "no time" : photo.why };
  try {
    const found = sightingOf(photo.file.name, photo.header, await texts());
    return typeof found === "string"
      ? { ...photo, sighting: null, why: found }
      : { ...photo, sighting: found, why: null };
  } catch {
    return { ...photo, why: "not opened" };
  }
}
