/**
 * What leaves the page: sidecars (in one archive, or beside the images where the browser may write there),
 * a table, JSON. Made in pieces, so that the page goes on. Originals are never written.
 */
import { strToU8, Zip, ZipDeflate } from "fflate";
import { unparse } from "papaparse";
import { frameOf } from "../../../../shared/images/headers/frame-of.ts";
import { HeaderError } from "../../../../shared/images/headers/pieces.ts";
import { readHeaders } from "../../../../shared/images/headers/read-headers.ts";
import { phaseText, suggestedName } from "../../../../shared/images/take-away/labels.ts";
import { SidecarError, sidecar } from "../../../../shared/images/take-away/sidecar.ts";
import { type SidecarNaming, sidecarNames } from "../../../../shared/images/take-away/sidecar-name.ts";
import type { Site } from "../../../../shared/plan/model/plan.ts";
import { sourceOfFile } from "../file-source.ts";
import { type ImageRow, placedOf, type TimedRow, timed } from "./image-row.ts";

export interface TakeAwayOf {
  rows: readonly ImageRow[];
  naming: SidecarNaming;
  rigName: (id: string) => string;
  eclipse: string | null;
  site: Site | null;
  /** Text of the sidecar that is there already, by rig and path; null where there is none. */
  existing: (rigId: string, path: string) => Promise<string | null>;
  progress: (done: number, all: number) => void;
  /** Asked between files: whether to go on. */
  goesOn: () => boolean;
}

export interface SidecarMade {
  rigId: string;
  path: string;
  text: string;
}

/** Sidecars made in one turn of the page: some 10 ms. */
const AT_ONCE = 10;

/** How many frames have a time with a bound, and so get one. */
export function sidecarRows(rows: readonly ImageRow[]): TimedRow[] {
  return timed(rows).filter(({ boundS }) => boundS !== null);
}

/** Those that cannot be merged are left out and named. */
export async function* sidecars(what: TakeAwayOf): AsyncGenerator<SidecarMade | { failed: string }> {
  const rows = sidecarRows(what.rows);
  const { rigName, eclipse, site } = what;
  const names = new Map<string, ReadonlyMap<string, string>>();
  for (const { rigId } of rows) {
    if (names.has(rigId)) continue;
    const files = what.rows.filter((row) => row.rigId === rigId).map(({ file }) => file);
    names.set(rigId, sidecarNames(files, what.naming));
  }
  for (const [i, row] of rows.entries()) {
    if (!what.goesOn()) return;
    const path = names.get(row.rigId)?.get(row.file) ?? `${row.file}.xmp`;
    try {
      const before = await what.existing(row.rigId, path);
      const text = sidecar(
        { placed: placedOf(row), rigName: rigName(row.rigId), eclipse, place: site },
        before,
      );
      yield { rigId: row.rigId, path, text };
    } catch (error) {
      if (!(error instanceof SidecarError)) throw error;
      yield { failed: path };
    }
    if (i % AT_ONCE === AT_ONCE - 1) {
      what.progress(i + 1, rows.length);
      await new Promise((resolve) => setTimeout(resolve));
    }
  }
  what.progress(rows.length, rows.length);
}

/** One archive, a folder for each rig. */
export async function sidecarArchive(what: TakeAwayOf): Promise<{ blob: Blob; failed: string[] } | null> {
  const chunks: Uint8Array<ArrayBuffer>[] = [];
  const failed: string[] = [];
  const archive = new Zip((error, chunk) => {
    if (error) throw error;
    chunks.push(chunk as Uint8Array<ArrayBuffer>);
  });
  // File by file: all at once would hold the page up, and the library's own workers are none of ours (CSP).
  for await (const made of sidecars(what)) {
    if ("failed" in made) {
      failed.push(made.failed);
      continue;
    }
    const entry = new ZipDeflate(`${made.rigId}/${made.path}`, { level: 6 });
    archive.add(entry);
    entry.push(strToU8(made.text), true);
  }
  if (!what.goesOn()) return null;
  archive.end();
  return { blob: new Blob(chunks, { type: "application/zip" }), failed };
}

/** Beside the images, in a folder that was chosen to be written: the parts of File System Access that are used. */
export interface WritableFolder {
  name: string;
  getDirectoryHandle(name: string): Promise<WritableFolder>;
  getFileHandle(
    name: string,
    options?: { create: boolean },
  ): Promise<{
    getFile(): Promise<File>;
    createWritable(): Promise<{ write(text: string): Promise<void>; close(): Promise<void> }>;
  }>;
}

/**
 * Only beside an image that is there and says the same time: cards of all cameras have a folder "DCIM" with
 * an "IMG_0001", and it may be another rig's that was chosen.
 * @returns how many were written, and those that could not be: what is there cannot be merged or written.
 */
export async function writeSidecars(
  folder: WritableFolder,
  what: Omit<TakeAwayOf, "existing">,
): Promise<{ written: number; failed: string[] }> {
  const rows: ImageRow[] = [];
  const wanted = sidecarRows(what.rows);
  for (const [i, row] of wanted.entries()) {
    if (!what.goesOn()) break;
    if (await isThere(folder, row)) rows.push(row);
    if (i % AT_ONCE === 0) what.progress(i, 2 * wanted.length);
  }
  const failed: string[] = [];
  let written = 0;
  const existing = async (_rigId: string, path: string): Promise<string | null> =>
    (await (await fileAt(folder, path))?.getFile())?.text() ?? null;
  const progress = (done: number, all: number) => what.progress(all + done, 2 * all);
  for await (const made of sidecars({ ...what, rows, existing, progress })) {
    if ("failed" in made) {
      failed.push(made.failed);
      continue;
    }
    try {
      const stream = await (await fileAt(folder, made.path, true))?.createWritable();
      await stream?.write(made.text);
      await stream?.close();
      written++;
    } catch (error) {
      if (!(error instanceof DOMException)) throw error;
      failed.push(made.path);
    }
  }
  return { written, failed };
}

async function isThere(folder: WritableFolder, { file, cameraTime }: ImageRow): Promise<boolean> {
  try {
    const image = await (await fileAt(folder, file))?.getFile();
    if (!image) return false;
    const { stamp } = frameOf(file, await readHeaders(sourceOfFile(image)));
    return stamp !== null && stamp.text === cameraTime;
  } catch (error) {
    if (error instanceof HeaderError || error instanceof DOMException) return false;
    throw error;
  }
}

/**
 * Null where there is none and none is to be made. The folder may be the one whose name the path begins
 * with, or the one above it.
 */
async function fileAt(folder: WritableFolder, path: string, create = false) {
  const parts = path.split("/");
  for (const from of parts.length > 1 && folder.name === parts[0] ? [1, 0] : [0]) {
    try {
      let inside = folder;
      for (const part of parts.slice(from, -1)) inside = await inside.getDirectoryHandle(part);
      return await inside.getFileHandle(parts.at(-1) ?? path, { create });
    } catch (error) {
      if (!(error instanceof DOMException && error.name === "NotFoundError")) throw error;
    }
  }
  return null;
}

/** For spreadsheets: no cell can act as a formula. */
export function imagesTable(rows: readonly ImageRow[], rigName: (id: string) => string): string {
  const lines = rows.map((row) => {
    const [at] = timed([row]);
    const placed = at && placedOf(at);
    return {
      rig: rigName(row.rigId),
      file: row.file,
      kind: row.kind,
      camera_time: row.cameraTime,
      utc: row.utc,
      bound_s: row.boundS,
      phase: placed?.phase ? phaseText(placed.phase) : null,
      contact: row.fromContact?.contact ?? null,
      from_contact_s: row.fromContact?.s ?? null,
      covered: row.covered,
      sun_altitude_deg: row.sunAltitudeDeg,
      sun_azimuth_deg: row.sunAzimuthDeg,
      filter: row.filter,
      cue: row.cueId,
      exposure_s: row.exposureS,
      f_number: row.fNumber,
      iso: row.iso,
      duration_s: row.durationS,
      suggested_name: placed ? suggestedName(placed) : null,
      warnings: row.warnings.join("; "),
    };
  });
  return unparse(lines, { escapeFormulae: true, newline: "\r\n" });
}
