/**
 * The Sun's track and the skyline on a plot of altitude over azimuth. Azimuths are unrolled, so
 * that a track through north does not jump; the plot shows at least 60° of azimuth and 30° of
 * altitude, from a little below the horizon. Positions are shares of width and height, y downward.
 */
import type { Site } from "../../../../../shared/plan/model/plan.ts";

export interface TrackAt {
  altitudeDeg: number;
  azimuthDeg: number;
}

export interface TrackPlot {
  fromAzDeg: number;
  toAzDeg: number;
  topDeg: number;
  bottomDeg: number;
  /** Of an azimuth (any turn) and an altitude. */
  at(point: TrackAt): { x: number; y: number };
  track: { x: number; y: number }[];
  /** Skyline across the plot, left to right; empty where none was entered. */
  skyline: { x: number; y: number }[];
  azimuthTicks: number[];
  altitudeTicks: number[];
}

const LEAST_AZ_DEG = 60;
const LEAST_ALT_DEG = 30;
const BOTTOM_DEG = -4;
const MARGIN_AZ_DEG = 8;

export function trackPlot(points: readonly TrackAt[], skyline: Site["skyline"]): TrackPlot {
  const azimuths = unrolled(points.map((point) => point.azimuthDeg));
  const least = Math.min(...azimuths);
  const most = Math.max(...azimuths);
  const half = Math.max(LEAST_AZ_DEG, most - least + 2 * MARGIN_AZ_DEG) / 2;
  const middle = (least + most) / 2;
  const fromAzDeg = middle - half;
  const toAzDeg = middle + half;
  const highest = Math.max(...points.map((point) => point.altitudeDeg), ...skyline.map(([, alt]) => alt));
  const topDeg = Math.min(92, Math.max(LEAST_ALT_DEG, highest + 6));
  const place = (azimuthDeg: number, altitudeDeg: number) => ({
    x: (azimuthDeg - fromAzDeg) / (toAzDeg - fromAzDeg),
    y: (topDeg - altitudeDeg) / (topDeg - BOTTOM_DEG),
  });
  return {
    fromAzDeg,
    toAzDeg,
    topDeg,
    bottomDeg: BOTTOM_DEG,
    at: ({ azimuthDeg, altitudeDeg }) => place(near(azimuthDeg, middle), altitudeDeg),
    track: points.map((point, index) => place(azimuths[index] ?? point.azimuthDeg, point.altitudeDeg)),
    skyline: skylineAcross(skyline, fromAzDeg, toAzDeg).map(([az, alt]) => place(az, alt)),
    azimuthTicks: ticks(fromAzDeg, toAzDeg, half > 60 ? 30 : 15),
    altitudeTicks: ticks(0, topDeg, topDeg > 45 ? 15 : 10),
  };
}

/** Azimuths on one scale, each within half a turn of the one before. */
export function unrolled(azimuths: readonly number[]): number[] {
  const out: number[] = [];
  for (const azimuth of azimuths) {
    const before = out.at(-1);
    out.push(before === undefined ? azimuth : near(azimuth, before));
  }
  return out;
}

function near(azimuthDeg: number, toDeg: number): number {
  return azimuthDeg + 360 * Math.round((toDeg - azimuthDeg) / 360);
}

/** Altitude of the skyline at an azimuth: straight between its points, around the whole horizon. */
export function skylineAltDeg(skyline: Site["skyline"], azimuthDeg: number): number | null {
  const points = [...skyline].sort((a, b) => a[0] - b[0]);
  const [first] = points;
  const last = points.at(-1);
  if (!first || !last) return null;
  const azimuth = ((azimuthDeg % 360) + 360) % 360;
  const ring: [number, number][] = [[last[0] - 360, last[1]], ...points, [first[0] + 360, first[1]]];
  const after = ring.findIndex((point) => point[0] >= azimuth);
  const b = ring[Math.max(1, after)] ?? last;
  const a = ring[Math.max(1, after) - 1] ?? first;
  const share = b[0] === a[0] ? 0 : (azimuth - a[0]) / (b[0] - a[0]);
  return a[1] + share * (b[1] - a[1]);
}

function skylineAcross(skyline: Site["skyline"], fromDeg: number, toDeg: number): [number, number][] {
  if (skyline.length === 0) return [];
  const corners = skyline.flatMap(([azimuth]) =>
    [-360, 0, 360].map((turn) => azimuth + turn).filter((az) => az > fromDeg && az < toDeg),
  );
  return [fromDeg, ...corners.sort((a, b) => a - b), toDeg].map((azimuth) => [
    azimuth,
    skylineAltDeg(skyline, azimuth) ?? 0,
  ]);
}

function ticks(from: number, to: number, step: number): number[] {
  const first = Math.ceil(from / step) * step;
  return Array.from({ length: Math.max(0, Math.floor((to - first) / step) + 1) }, (_, i) => first + i * step);
}
