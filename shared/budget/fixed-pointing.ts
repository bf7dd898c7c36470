/**
 * A camera on a fixed tripod: where to point it so that the Sun stands in the middle at a chosen
 * instant, where the Sun is in the frame before and after, and when it leaves.
 *
 * Model: the frame is level; the Sun's place comes from shared/eclipse/sun.ts (0.015°) with
 * refraction; positions in the frame are the gnomonic projection about the pointing. Lens
 * distortion is neglected.
 */
import { refractionDeg, sunAt } from "../eclipse/sun.ts";
import { type UtcMs, utcMs } from "../time/instants.ts";

const RAD = Math.PI / 180;

interface Spot {
  latDeg: number;
  lonDeg: number;
  heightM?: number | undefined;
}

/** In the frame, mm from its middle: right and up positive. */
export interface InFrame {
  xMm: number;
  yMm: number;
}

export interface Pointing {
  azimuthDeg: number;
  altitudeDeg: number;
}

/** Where the Sun is seen, refraction included, degrees. */
export function seenSun(at: UtcMs, spot: Spot): Pointing {
  const { altitudeDeg, azimuthDeg } = sunAt(at, spot);
  return { azimuthDeg, altitudeDeg: altitudeDeg + refractionDeg(altitudeDeg) };
}

/** A direction in the frame of a camera that points elsewhere; undefined when it lies behind it. */
export function projectMm(of: Pointing, camera: Pointing, focalLengthMm: number): InFrame | undefined {
  const [a, a0] = [of.altitudeDeg * RAD, camera.altitudeDeg * RAD];
  const turn = (of.azimuthDeg - camera.azimuthDeg) * RAD;
  const ahead = Math.sin(a0) * Math.sin(a) + Math.cos(a0) * Math.cos(a) * Math.cos(turn);
  if (ahead <= 1e-6) return undefined;
  const x = (Math.cos(a) * Math.sin(turn)) / ahead;
  const y = (Math.cos(a0) * Math.sin(a) - Math.sin(a0) * Math.cos(a) * Math.cos(turn)) / ahead;
  return { xMm: focalLengthMm * x, yMm: focalLengthMm * y };
}

export interface FixedCamera {
  focalLengthMm: number;
  widthMm: number;
  heightMm: number;
}

/** Whether a disc of so many mm radius lies wholly in the frame. */
function isInside(spot: InFrame | undefined, camera: FixedCamera, radiusMm: number): boolean {
  if (!spot) return false;
  return (
    Math.abs(spot.xMm) + radiusMm <= camera.widthMm / 2 &&
    Math.abs(spot.yMm) + radiusMm <= camera.heightMm / 2
  );
}

const STEP_MS = 20_000;

/**
 * From when until when the whole disc is in the frame of a camera pointed at `pointing`, looked for
 * within so many hours of `aroundUtcMs`; null when it is not even then. To the second.
 */
export function inFrameFor(
  camera: FixedCamera,
  pointing: Pointing,
  spot: Spot,
  aroundUtcMs: UtcMs,
  discRadiusMm: number,
  withinH = 6,
): { fromUtcMs: UtcMs; untilUtcMs: UtcMs } | null {
  const inside = (ms: number) =>
    isInside(projectMm(seenSun(utcMs(ms), spot), pointing, camera.focalLengthMm), camera, discRadiusMm);
  if (!inside(aroundUtcMs)) return null;
  const edge = (way: 1 | -1) => {
    const most = aroundUtcMs + way * withinH * 3_600_000;
    let good: number = aroundUtcMs;
    while ((most - good) * way > 0 && inside(good + way * STEP_MS)) good += way * STEP_MS;
    let bad = good + way * STEP_MS;
    while (Math.abs(bad - good) > 500) {
      const middle = (good + bad) / 2;
      if (inside(middle)) good = middle;
      else bad = middle;
    }
    return utcMs(Math.round(good));
  };
  return { fromUtcMs: edge(-1), untilUtcMs: edge(1) };
}

/** Where the Sun is to stand in the frame now so that it is in the middle at `centredUtcMs`. */
export function placeNow(
  camera: FixedCamera,
  spot: Spot,
  nowUtcMs: UtcMs,
  centredUtcMs: UtcMs,
): { pointing: Pointing; now: InFrame | undefined } {
  const pointing = seenSun(centredUtcMs, spot);
  return { pointing, now: projectMm(seenSun(nowUtcMs, spot), pointing, camera.focalLengthMm) };
}
