/** The disc at any moment between the minutes of a track: straight between them, pure. */
import { coveredArea } from "../../../../../shared/eclipse/obscuration.ts";
import type { TrackPoint } from "./picture-data.ts";

export type DiscAt = Omit<TrackPoint, "utcMs">;

/**
 * The track's ends before and after it. The Moon's centre moves straight between two minutes, so
 * that its place near the middle, where the position angle turns fast, is right; what is covered
 * follows from that place; azimuth the short way round.
 */
export function trackAt(track: readonly TrackPoint[], atMs: number): DiscAt | null {
  const [first] = track;
  const last = track.at(-1);
  if (!first || !last) return null;
  if (atMs <= first.utcMs) return first;
  if (atMs >= last.utcMs) return last;
  const index = track.findIndex((point) => point.utcMs > atMs);
  const b = track[index] ?? last;
  const a = track[index - 1] ?? first;
  const share = (atMs - a.utcMs) / (b.utcMs - a.utcMs);
  const mix = (from: number, to: number) => from + share * (to - from);
  const pa = onSky(a);
  const pb = onSky(b);
  const east = mix(pa.east, pb.east);
  const north = mix(pa.north, pb.north);
  const ratio = mix(a.ratio, b.ratio);
  const separation = Math.hypot(east, north);
  return {
    altitudeDeg: mix(a.altitudeDeg, b.altitudeDeg),
    azimuthDeg: (mix(a.azimuthDeg, a.azimuthDeg + shortWay(b.azimuthDeg - a.azimuthDeg)) + 360) % 360,
    covered: coveredArea(ratio, separation),
    ratio,
    separation,
    positionAngleDeg: ((Math.atan2(east, north) * 180) / Math.PI + 360) % 360,
  };
}

function onSky({ separation, positionAngleDeg }: TrackPoint): { east: number; north: number } {
  const angle = (positionAngleDeg * Math.PI) / 180;
  return { east: separation * Math.sin(angle), north: separation * Math.cos(angle) };
}

function shortWay(deg: number): number {
  return ((((deg + 180) % 360) + 360) % 360) - 180;
}
