/**
 * Where frames stand on the drawn line of the eclipse, and how dark each is drawn: by nothing but the
 * darkness of its exposure, from the longest (pale) to the shortest (dark) of the run.
 */
import type { TimeLineLayout } from "../../../parts/time-line-layout.ts";
import type { ImageRow, TimedRow } from "./image-row.ts";

/** Paler is not seen in glare. */
const PALEST = 0.22;
const UNKNOWN = 0.6;

/** Light that an exposure takes in, in stops against 1 s at f/1 and ISO 100; null where it is not known. */
export function lightStops({
  exposureS,
  fNumber,
  iso,
}: Pick<ImageRow, "exposureS" | "fNumber" | "iso">): number | null {
  if (exposureS === null || exposureS <= 0) return null;
  return (
    Math.log2(exposureS) - 2 * Math.log2(fNumber && fNumber > 0 ? fNumber : 1) + Math.log2((iso || 100) / 100)
  );
}

/** For each frame how much ink it gets, 0…1. */
export function inkOf(rows: readonly TimedRow[]): (row: TimedRow) => number {
  const stops = rows.flatMap((row) => lightStops(row) ?? []);
  const [least, most] = [Math.min(...stops), Math.max(...stops)];
  return (row) => {
    const own = lightStops(row);
    if (own === null) return UNKNOWN;
    return most > least ? PALEST + ((1 - PALEST) * (most - own)) / (most - least) : 1;
  };
}

/** The instant at a share of the width: what `layout.at` undoes. */
export function momentAt({ fromMs, toMs, stretch }: TimeLineLayout, x: number): number {
  const share = Math.min(1, Math.max(0, x));
  const between = (a: number, b: number, from: number, to: number) =>
    to === from ? a : a + ((b - a) * (share - from)) / (to - from);
  if (!stretch) return between(fromMs, toMs, 0, 1);
  if (share < stretch.from) return between(fromMs, stretch.fromMs, 0, stretch.from);
  if (share > stretch.to) return between(stretch.toMs, toMs, stretch.to, 1);
  return between(stretch.fromMs, stretch.toMs, stretch.from, stretch.to);
}

/** Of a rig the still nearest to an instant within the reach, else a video that runs then; null where it got nothing. */
export function rowAt(rows: readonly TimedRow[], atMs: number, reachMs: number): TimedRow | null {
  for (const kind of ["image", "video"]) {
    const near = nearestRow(
      rows.filter((row) => row.kind === kind),
      atMs,
    );
    if (near && near.awayMs <= reachMs) return near.row;
  }
  return null;
}

function nearestRow(rows: readonly TimedRow[], atMs: number): { row: TimedRow; awayMs: number } | null {
  let best: { row: TimedRow; awayMs: number } | null = null;
  for (const row of rows) {
    const endMs = row.atMs + (row.durationS ?? row.exposureS ?? 0) * 1000;
    const awayMs = atMs < row.atMs ? row.atMs - atMs : atMs > endMs ? atMs - endMs : 0;
    if (best === null || awayMs < best.awayMs) best = { row, awayMs };
  }
  return best;
}

/** The next instant at which any rig has a frame, or the one before; null at the end. */
export function nextFrameMs(rows: readonly TimedRow[], atMs: number, forward: boolean): number | null {
  const found = forward
    ? rows.find((row) => row.atMs > atMs + 0.5)
    : rows.findLast((row) => row.atMs < atMs - 0.5);
  return found?.atMs ?? null;
}
