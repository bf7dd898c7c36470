/**
 * After-work without a browser: every image and video of a rig's folders put in its place, told as lines,
 * and, when asked, written beside it as a sidecar. Originals are only read.
 */
import type { Frame } from "../../shared/fields/image-frame.ts";
import { type Finding, findingsOf } from "../../shared/images/findings/findings.ts";
import { emptyHeaders } from "../../shared/images/headers/file-headers.ts";
import { frameOf } from "../../shared/images/headers/frame-of.ts";
import { HeaderError } from "../../shared/images/headers/pieces.ts";
import { readHeaders } from "../../shared/images/headers/read-headers.ts";
import type { Knowledge, RigKnowledge } from "../../shared/images/place/knowledge.ts";
import { FramePlacer, type PlacedFrame } from "../../shared/images/place/place-frame.ts";
import { SidecarError } from "../../shared/images/take-away/sidecar.ts";
import { sidecarNames } from "../../shared/images/take-away/sidecar-name.ts";
import { withFile } from "./file-source.ts";
import { findFiles } from "./find-files.ts";
import { AfterError, type AfterOptions } from "./options.ts";
import { fileLine, findingText, jsonLine, totals } from "./report.ts";
import { siteKnowledge } from "./site-knowledge.ts";
import { writeSidecar } from "./write-sidecar.ts";

/** Read at a time: a disk's queue is kept busy, and memory small. */
const AT_ONCE = 4;

/** Throws AfterError for what the person at the keyboard can mend. */
export async function after(options: AfterOptions, print: (line: string) => void): Promise<void> {
  const known = await siteKnowledge(options.site);
  const rig = known.rigs.get(options.rig);
  if (!rig) {
    const ids = [...known.rigs.keys()].join(", ") || "none";
    throw new AfterError(`--rig: there is no rig "${options.rig}" in ${options.site}; there are: ${ids}.`);
  }
  cameraMustBeKnown(known, options);
  const files = findFiles(options.folders);
  const placer = new FramePlacer(known);
  const names = sidecarNames(files, options.sidecar);
  const placed: PlacedFrame[] = [];
  let wouldWrite = 0;
  let failed = 0;
  for (let from = 0; from < files.length; from += AT_ONCE) {
    const some = files.slice(from, from + AT_ONCE);
    const read = await Promise.all(some.map((file) => frameIn(file)));
    for (const [i, { frame, problem }] of read.entries()) {
      const file = some[i] as string;
      const one = placer.place(rig, frame, options.camera);
      const more: string[] = problem === null ? [] : [problem];
      if (problem === null) placed.push(one);
      const sure = one.utcMs !== null && one.boundMs !== null;
      const name = sure ? (names.get(file) ?? `${file}.xmp`) : null;
      if (name !== null) wouldWrite++;
      if (options.write && name !== null) {
        const wrong = await written(name, one, rig, known);
        if (wrong !== null) failed++;
        more.push(...(wrong === null ? [] : [wrong]));
      }
      print(options.json ? jsonLine(file, one, more, name) : fileLine(file, one, more));
    }
  }
  if (options.json) return;
  for (const finding of findingsOf(known, placed).filter(isOf(options.rig))) print(findingText(finding, rig));
  print(totals(files.length, placed, options.write, wouldWrite, failed));
}

function isOf(rigId: string): (finding: Finding) => boolean {
  return (finding) => finding.rigId === rigId && finding.kind !== "no-frames";
}

function cameraMustBeKnown({ state }: Knowledge, { camera, rig }: AfterOptions): void {
  if (camera === null) return;
  const names = new Set(state.cameraClocks.filter(({ rigId }) => rigId === rig).map((one) => one.camera));
  if (names.has(camera)) return;
  const all = [...names].join(", ") || "none";
  throw new AfterError(
    `--camera: nothing is known of a camera "${camera}" of rig "${rig}"; known are: ${all}.`,
  );
}

async function frameIn(file: string): Promise<{ frame: Frame; problem: string | null }> {
  try {
    const headers = await withFile(file, readHeaders);
    return { frame: frameOf(file, headers), problem: null };
  } catch (error) {
    const code = (error as NodeJS.ErrnoException).code;
    if (!(error instanceof HeaderError) && code === undefined) throw error;
    const why =
      error instanceof HeaderError
        ? error.message
        : code === "ENOENT" && file.includes("\ufffd")
          ? "its name is not written in UTF-8; give it another"
          : code;
    return { frame: frameOf(file, emptyHeaders("jpeg")), problem: `cannot be read: ${why}` };
  }
}

/** What went wrong with a sidecar; null where it was written. */
async function written(
  name: string,
  placed: PlacedFrame,
  rig: RigKnowledge,
  known: Knowledge,
): Promise<string | null> {
  const { eclipse, site } = known.state.plan;
  try {
    await writeSidecar(name, { placed, rigName: rig.rig.name, eclipse, place: site });
    return null;
  } catch (error) {
    const code = (error as NodeJS.ErrnoException).code;
    if (!(error instanceof SidecarError) && code === undefined) throw error;
    return `no sidecar: ${error instanceof SidecarError ? error.message : `${name} (${code})`}`;
  }
}
