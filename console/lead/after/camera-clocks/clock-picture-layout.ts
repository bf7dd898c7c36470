/**
 * Where things stand in the picture of a camera's clock: each group of sightings is a column drawn to
 * its own scale of time, the contacts are narrow columns between them, breaks are visible. Up is
 * camera − UTC, one scale for all.
 */
import { groupsOf } from "../../../../shared/images/camera-clock/agreeing.ts";
import type { OffsetInterval } from "../../../../shared/images/camera-clock/photographs.ts";
import { type CameraClock, offsetAt } from "../../../../shared/images/camera-clock/solve.ts";

export const PICTURE = { width: 640, height: 240, left: 84, right: 8, top: 12, bottom: 40, gap: 10 };
const CONTACT_WIDTH = 72;
/** A group is never drawn at a finer scale than this, ms across. */
const GROUP_LEAST_MS = 1000;

export interface PictureColumn {
  label: string;
  x: number;
  width: number;
  /** The band in which the line lies, px from the top, at both edges. */
  band: { left: [number, number]; right: [number, number] };
  bars: { x: number; top: number; bottom: number; used: boolean; index: number }[];
  contact: boolean;
}

export interface ClockPictureLayout {
  columns: PictureColumn[];
  /** Offsets to write at the axis, ms, and where. */
  ticks: { offsetMs: number; y: number }[];
}

export function layoutClockPicture(
  intervals: readonly OffsetInterval[],
  clock: CameraClock,
  contacts: readonly { label: string; utcMs: number }[],
): ClockPictureLayout {
  const used = new Set(clock.used);
  const spans = [
    ...groupsOf(intervals).map((group) => {
      const times = group.map((i) => intervals[i]?.utcMs ?? 0);
      const middle = (Math.min(...times) + Math.max(...times)) / 2;
      const half = Math.max(GROUP_LEAST_MS, Math.max(...times) - Math.min(...times)) * 0.55;
      return { group, label: "", from: middle - half, to: middle + half, contact: false };
    }),
    ...contacts.map(({ label, utcMs }) => ({
      group: [] as number[],
      label,
      from: utcMs,
      to: utcMs,
      contact: true,
    })),
  ].sort((a, b) => a.from - b.from);
  const inside = PICTURE.width - PICTURE.left - PICTURE.right - (spans.length - 1) * PICTURE.gap;
  const groups = spans.filter(({ contact }) => !contact).length;
  const groupWidth = (inside - contacts.length * CONTACT_WIDTH) / Math.max(1, groups);

  const known = intervals.filter((_, i) => used.has(i));
  const edges = spans.flatMap(({ from, to }) => [from, to].flatMap((at) => bandAt(clock, at)));
  const least = Math.min(...edges, ...known.map(({ leastMs }) => leastMs));
  const most = Math.max(...edges, ...known.map(({ mostMs }) => mostMs));
  const room = PICTURE.height - PICTURE.top - PICTURE.bottom;
  const y = (offsetMs: number) =>
    PICTURE.top + room * (1 - (clamp(offsetMs, least, most) - least) / Math.max(1, most - least));

  let x = PICTURE.left;
  const columns = spans.map(({ group, label, from, to, contact }): PictureColumn => {
    const width = contact ? CONTACT_WIDTH : groupWidth;
    const start = x;
    x += width + PICTURE.gap;
    const band = (at: number): [number, number] => {
      const [low, high] = bandAt(clock, at);
      return [y(high), y(low)];
    };
    return {
      label,
      x: start,
      width,
      contact,
      band: { left: band(from), right: band(to) },
      bars: group.map((index) => {
        const { utcMs, leastMs, mostMs } = intervals[index] as OffsetInterval;
        return {
          index,
          used: used.has(index),
          x: start + (width * (utcMs - from)) / (to - from),
          top: y(mostMs),
          bottom: y(leastMs),
        };
      }),
    };
  });
  return { columns, ticks: ticksBetween(least, most).map((offsetMs) => ({ offsetMs, y: y(offsetMs) })) };
}

function bandAt(clock: CameraClock, utcMs: number): [number, number] {
  const { offsetMs, boundMs } = offsetAt(clock, utcMs);
  return [offsetMs - boundMs, offsetMs + boundMs];
}

/** Some three to six round numbers. */
function ticksBetween(least: number, most: number): number[] {
  const raw = Math.max(1, most - least) / 4;
  const power = 10 ** Math.floor(Math.log10(raw));
  const step = power * ([1, 2, 5, 10].find((one) => one * power >= raw) ?? 10);
  const ticks: number[] = [];
  for (let at = Math.ceil(least / step) * step; at <= most && ticks.length < 10; at += step) ticks.push(at);
  return ticks;
}

function clamp(value: number, least: number, most: number): number {
  return Math.min(most, Math.max(least, value));
}
