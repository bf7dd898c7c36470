/** A frame as GET /api/images gives it, and as the parts that leave the page need it. */
import type { Finding } from "../../../../shared/images/findings/findings.ts";
import type { Difference } from "../../../../shared/images/place/against-plan.ts";
import type { PhaseAt } from "../../../../shared/images/place/phase.ts";
import type { PlacedFrame, PlaceWarning } from "../../../../shared/images/place/place-frame.ts";

export interface ImageRow {
  rigId: string;
  file: string;
  kind: "image" | "video";
  camera: string | null;
  cameraTime: string | null;
  utc: string | null;
  boundS: number | null;
  phase: PhaseAt["phase"] | null;
  fromContact: PhaseAt["fromContact"];
  covered: number | null;
  intoS: number | null;
  sunAltitudeDeg: number | null;
  sunAzimuthDeg: number | null;
  filter: PlacedFrame["filter"];
  cueId: string | null;
  differences: Difference[];
  exposureS: number | null;
  fNumber: number | null;
  iso: number | null;
  durationS: number | null;
  warnings: PlaceWarning[];
}

export interface ImagesAnswer {
  runId: string;
  frames: ImageRow[];
  findings: Finding[];
}

/** With the instant as a number, for those that have one. */
export type TimedRow = ImageRow & { atMs: number };

export function timed(rows: readonly ImageRow[]): TimedRow[] {
  return rows.flatMap((row) => (row.utc === null ? [] : [{ ...row, atMs: Date.parse(row.utc) }]));
}

/** Which file of which rig. */
export function rowKey({ rigId, file }: Pick<ImageRow, "rigId" | "file">): string {
  return `${rigId}/${file}`;
}

/** Back to what sidecars and suggested names are made of. */
export function placedOf(row: TimedRow): PlacedFrame {
  const { rigId, file, kind, exposureS, fNumber, iso, durationS, camera, cameraTime } = row;
  const stamp = { text: cameraTime ?? "", localMs: row.atMs, stepMs: 1, offsetMin: null, field: "" };
  return {
    rigId,
    frame: { file, kind, stamp, exposureS, fNumber, iso, durationS, model: null },
    camera,
    utcMs: row.atMs,
    boundMs: row.boundS === null ? null : row.boundS * 1000,
    phase: row.phase && {
      phase: row.phase,
      covered: row.covered,
      intoS: row.intoS,
      fromContact: row.fromContact,
    },
    sun: null,
    filter: row.filter,
    cueId: row.cueId,
    differences: row.differences,
    warnings: row.warnings,
  };
}
