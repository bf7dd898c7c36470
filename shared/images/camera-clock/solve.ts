/**
 * A camera's clock from photographs of the hub's clock: offset and rate, with a bound at any instant.
 *
 * Model: camera − UTC is a straight line in time, its slope within what crystals do. Each photograph
 * bounds the line at its instant; all together leave a polygon in the plane of offset and rate, and the
 * bound at an instant is what the polygon's corners say there. Neglected: a crystal that warms up and
 * bends (some ms over an eclipse), and a camera's own habit of stamping before or after its shutter,
 * which is part of the offset as long as the drive and shutter mode are the same.
 */
import { groupsOf, largestAgreeing } from "./agreeing.ts";
import { type ClockPhotograph, intervalOf, type OffsetInterval } from "./photographs.ts";

/** Cheap crystals over the year's temperatures: common practice, no source. Parts in a million. */
export const RATE_MOST_PPM = 40;

/** A corner of what is possible: offset at the origin, ms, and rate, ms/ms. */
type Corner = readonly [offsetMs: number, rate: number];

export interface CameraClock {
  /** Photographs that count, and those that contradict them, by index. */
  used: number[];
  dropped: number[];
  originUtcMs: number;
  corners: readonly Corner[];
}

export interface OffsetAt {
  /** Camera − UTC, ms: the middle of what is possible. */
  offsetMs: number;
  /** It lies within so much of that, ms. */
  boundMs: number;
  /** How fast the camera gains, ms an hour, middle of what is possible. */
  gainMsPerH: number;
}

/** Null when there is no photograph, or none that fits another's group and the crystals. */
export function solveCameraClock(
  photographs: readonly ClockPhotograph[],
  ratePpm = RATE_MOST_PPM,
): CameraClock | null {
  return solveIntervals(photographs.map(intervalOf), ratePpm);
}

/** The same from what is possible by each sighting, of whatever kind. */
export function solveIntervals(
  intervals: readonly OffsetInterval[],
  ratePpm = RATE_MOST_PPM,
): CameraClock | null {
  const groups = groupsOf(intervals).map((group) => largestAgreeing(intervals, group, ratePpm));
  // Groups that contradict each other beyond what a crystal does: the larger one stands.
  for (const kept of withoutSmallest(groups)) {
    const used = kept.flat().sort((a, b) => a - b);
    if (used.length === 0) continue;
    const originUtcMs = intervals[used[0] as number]?.utcMs ?? 0;
    const corners = polygon(
      used.map((i) => intervals[i] as OffsetInterval),
      originUtcMs,
      ratePpm / 1e6,
    );
    if (corners.length === 0) continue;
    const dropped = intervals.map((_, i) => i).filter((i) => !used.includes(i));
    return { used, dropped, originUtcMs, corners };
  }
  return null;
}

/** All groups, then without the smallest, and so on down to the largest alone. */
function* withoutSmallest(groups: readonly number[][]): Generator<number[][]> {
  const bySize = [...groups].sort((a, b) => b.length - a.length);
  for (let n = bySize.length; n > 0; n--) yield bySize.slice(0, n);
}

/** What is possible of offset and rate; without corners when nothing is. */
function polygon(intervals: readonly OffsetInterval[], originUtcMs: number, rateMost: number): Corner[] {
  const FAR_MS = 1e13;
  let corners: Corner[] = [
    [-FAR_MS, -rateMost],
    [FAR_MS, -rateMost],
    [FAR_MS, rateMost],
    [-FAR_MS, rateMost],
  ];
  for (const { utcMs, leastMs, mostMs } of intervals) {
    const t = utcMs - originUtcMs;
    corners = clipped(corners, ([offset, rate]) => offset + rate * t - leastMs);
    corners = clipped(corners, ([offset, rate]) => mostMs - offset - rate * t);
  }
  return corners;
}

/** The part of a convex polygon where `inside` is not below zero (Sutherland & Hodgman 1974). */
function clipped(corners: readonly Corner[], inside: (corner: Corner) => number): Corner[] {
  const kept: Corner[] = [];
  for (const [i, corner] of corners.entries()) {
    const next = corners[(i + 1) % corners.length] as Corner;
    const [a, b] = [inside(corner), inside(next)];
    if (a >= 0) kept.push(corner);
    if ((a > 0 && b < 0) || (a < 0 && b > 0)) {
      const share = a / (a - b);
      kept.push([corner[0] + share * (next[0] - corner[0]), corner[1] + share * (next[1] - corner[1])]);
    }
  }
  return kept;
}

/** What is known of the offset at an instant, UTC ms. */
export function offsetAt({ corners, originUtcMs }: CameraClock, utcMs: number): OffsetAt {
  const t = utcMs - originUtcMs;
  const offsets = corners.map(([offset, rate]) => offset + rate * t);
  const rates = corners.map(([, rate]) => rate);
  const [least, most] = [Math.min(...offsets), Math.max(...offsets)];
  const rate = (Math.min(...rates) + Math.max(...rates)) / 2;
  return { offsetMs: (least + most) / 2, boundMs: (most - least) / 2, gainMsPerH: rate * 3_600_000 };
}

/**
 * When a frame was taken, by its camera's stamp, and within what: the stamp's step is part of it.
 * Also for a camera that is hours off: the offset is looked up where the frame lies.
 */
export function utcOfStamp(
  clock: CameraClock,
  stampMs: number,
  stepMs: number,
): { utcMs: number; boundMs: number } {
  let utcMs = stampMs;
  // The line is nearly level: two rounds settle it below a microsecond.
  for (let round = 0; round < 3; round++) utcMs = stampMs - offsetAt(clock, utcMs).offsetMs;
  const { boundMs } = offsetAt(clock, utcMs);
  return { utcMs: utcMs + stepMs / 2, boundMs: boundMs + stepMs / 2 };
}

/** Cameras are set to some civil time: the nearest whole quarter-hours, min, and what is left, ms. */
export function zoneAndRest(offsetMs: number): { zoneMin: number; restMs: number } {
  const zoneMin = Math.round(offsetMs / 900_000) * 15 || 0;
  return { zoneMin, restMs: offsetMs - zoneMin * 60_000 };
}
