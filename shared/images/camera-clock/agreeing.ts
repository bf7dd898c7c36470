/**
 * Of a group of photographs taken close together the largest set that can all be right: one that was
 * read wrongly, or whose stamp was set by hand meanwhile, contradicts the others and is left out.
 * A plain intersection would be empty with a single wrong one.
 */
import type { OffsetInterval } from "./photographs.ts";

/** Photographs no further apart than this are one group, ms: a camera drifts by no more than 0.1 s. */
export const GROUP_MS = 15 * 60_000;

/** Groups by time; the index says which photograph. */
export function groupsOf(intervals: readonly OffsetInterval[]): number[][] {
  const order = intervals.map((_, i) => i).sort((a, b) => at(intervals, a).utcMs - at(intervals, b).utcMs);
  const groups: number[][] = [];
  for (const i of order) {
    const last = groups.at(-1);
    const first = last?.[0];
    if (last && first !== undefined && at(intervals, i).utcMs - at(intervals, first).utcMs <= GROUP_MS)
      last.push(i);
    else groups.push([i]);
  }
  return groups;
}

/**
 * The largest subset of a group whose intervals have an offset in common, each widened by what a
 * clock may drift within the group. Of equally large ones the one with most room.
 *
 * @param ratePpm the most a camera's crystal is off, parts in a million.
 */
export function largestAgreeing(
  intervals: readonly OffsetInterval[],
  group: readonly number[],
  ratePpm: number,
): number[] {
  const times = group.map((i) => at(intervals, i).utcMs);
  const driftMs = ((Math.max(...times) - Math.min(...times)) * ratePpm) / 1e6;
  const wide = group.map((i) => {
    const { leastMs, mostMs } = at(intervals, i);
    return { i, least: leastMs - driftMs, most: mostMs + driftMs };
  });
  let best: number[] = [];
  let room = -1;
  // The common offset of a largest subset can always be moved down to somebody's least.
  for (const { least } of wide) {
    const here = wide.filter((one) => one.least <= least && one.most >= least);
    const roomHere = Math.min(...here.map(({ most }) => most)) - Math.max(...here.map((one) => one.least));
    if (here.length > best.length || (here.length === best.length && roomHere > room)) {
      best = here.map(({ i }) => i);
      room = roomHere;
    }
  }
  return best;
}

function at(intervals: readonly OffsetInterval[], i: number): OffsetInterval {
  return intervals[i] as OffsetInterval;
}
