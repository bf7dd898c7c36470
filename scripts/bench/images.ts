/**
 * The evening after in figures: headers a second and the memory that 5,000 files take, read from the
 * disk as `npm run after` reads them; frames placed a second; sidecars a second. Files are small JPEGs
 * with Exif made here: what is read of a file of 30 MB is the same 64 kB.
 */
import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import * as v from "valibot";
import { withFile } from "../../hub/after/file-source.ts";
import { circumstances } from "../../shared/eclipse/circumstances.ts";
import { eclipseById } from "../../shared/eclipse/table.ts";
import type { Frame } from "../../shared/fields/image-frame.ts";
import { findingsOf } from "../../shared/images/findings/findings.ts";
import { frameOf } from "../../shared/images/headers/frame-of.ts";
import { readHeaders } from "../../shared/images/headers/read-headers.ts";
import type { Knowledge } from "../../shared/images/place/knowledge.ts";
import { FramePlacer } from "../../shared/images/place/place-frame.ts";
import { sidecar } from "../../shared/images/take-away/sidecar.ts";
import { RigSchema, SiteSchema } from "../../shared/plan/model/plan.ts";
import { contactsOf } from "../../shared/run/effective-contacts.ts";
import { EMPTY_STATE, newRun } from "../../shared/run/state.ts";
import { runMs, utcMs } from "../../shared/time/instants.ts";

const RIG = "west";
const FILES = 5000;
const SIDECARS = 500;

export async function run(): Promise<{ figure: string; value: number; unit: string }[]> {
  const folder = mkdtempSync(join(tmpdir(), "noonfall-bench-"));
  try {
    const files = writeCards(folder, FILES);
    globalThis.gc?.();
    const heapBefore = process.memoryUsage().heapUsed;
    const since = performance.now();
    const frames: Frame[] = [];
    for (const file of files) frames.push(frameOf(file, await withFile(file, readHeaders)));
    const readS = (performance.now() - since) / 1000;
    globalThis.gc?.();
    const heapMB = (process.memoryUsage().heapUsed - heapBefore) / 1e6;
    if (frames.some(({ stamp }) => stamp === null)) throw new Error("a header was not read");

    const known = knowledge();
    const { c2 } = known.contacts.predicted;
    if (c2 === null) throw new Error("no totality");
    const rig = known.rigs.get(RIG);
    if (!rig) throw new Error("no rig");
    const stamp = (i: number) => ({
      text: "",
      localMs: c2 - 600_000 + 300 * i,
      stepMs: 10,
      offsetMin: null,
      field: "",
    });
    const stamped = frames.map((frame, i) => ({ ...frame, stamp: stamp(i) }));
    const placing = performance.now();
    const placer = new FramePlacer(known);
    const placed = stamped.map((frame) => placer.place(rig, frame));
    findingsOf(known, placed);
    const placeS = (performance.now() - placing) / 1000;

    const writing = performance.now();
    const about = { rigName: "West telescope", eclipse: "2027-08-02", place: null };
    for (const one of placed.slice(0, SIDECARS)) sidecar({ placed: one, ...about }, null);
    const sidecarS = (performance.now() - writing) / 1000;
    return [
      { figure: "headers read", value: Math.round(FILES / readS), unit: "files/s" },
      { figure: `memory that ${FILES} files take`, value: Math.round(heapMB * 10) / 10, unit: "MB" },
      { figure: "frames placed, findings included", value: Math.round(FILES / placeS), unit: "frames/s" },
      { figure: "sidecars made", value: Math.round(SIDECARS / sidecarS), unit: "files/s" },
    ];
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}

/** A rig in totality with a camera whose clock is known. */
function knowledge(): Knowledge {
  const elements = eclipseById("2027-08-02");
  if (!elements) throw new Error("no elements");
  const site = v.parse(SiteSchema, { name: "Palm Field", latDeg: 25.5, lonDeg: 32.6, heightM: 80 });
  const given = circumstances(elements, site);
  const clock = {
    ...{ clockId: "1", rigId: RIG, camera: "A", zoneMin: 0, by: "lead", notedUtcMs: utcMs(0) },
    basis: { how: "hand", offsetS: 3.4, boundS: 0.1, utcMs: given.contacts.c2?.utcMs ?? 0 },
  } as const;
  const plan = { ...EMPTY_STATE.plan, eclipse: "2027-08-02", site };
  const state = { ...EMPTY_STATE, plan, circumstances: given, cameraClocks: [clock] };
  const rig = v.parse(RigSchema, { id: RIG, name: "West telescope", kind: "tracked-telescope", cues: [] });
  const filters = [{ fromUtcMs: 0, state: "on" as const }];
  return {
    runId: state.realRunId,
    state,
    contacts: contactsOf(state, newRun(state.realRunId, "real")),
    rigs: new Map([[RIG, { rig, cues: [], filters }]]),
    runMsAt: (utc) => runMs(utc),
  };
}

/** JPEGs of a few segments: one of Exif with a time, the frame's size, then what stands for the picture. */
export function writeCards(folder: string, count: number): string[] {
  return Array.from({ length: count }, (_, i) => {
    const time = new Date(Date.UTC(2027, 7, 2, 12) + 300 * i).toISOString().slice(0, 19);
    const text = time.replaceAll("-", ":").replace("T", " ");
    // One entry, DateTimeOriginal (0x9003) of 20 letters, right behind its directory at 26.
    const directory = [0, 1, 0x90, 3, 0, 2, 0, 0, 0, 20, 0, 0, 0, 26, 0, 0, 0, 0];
    const tiff = [0x4d, 0x4d, 0, 42, 0, 0, 0, 8, ...directory, ...Buffer.from(`${text}\0`)];
    const exif = [0xff, 0xe1, 0, tiff.length + 8, ...Buffer.from("Exif\0\0"), ...tiff];
    const frame = [0xff, 0xc0, 0, 11, 8, 0, 48, 0, 64, 1, 1, 0x11, 0];
    const file = join(folder, `${String(i).padStart(5, "0")}.jpg`);
    writeFileSync(
      file,
      Uint8Array.from([0xff, 0xd8, ...exif, ...frame, 0xff, 0xda, ...new Uint8Array(80_000)]),
    );
    return file;
  });
}
