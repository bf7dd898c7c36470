/**
 * Where what stands around the Sun lies in a frame that has the Sun in its middle: the gnomonic
 * projection, turned as the mount turns the frame (frame-turn.ts). Lens distortion is neglected.
 */
import type { InFrame } from "./fixed-pointing.ts";

const RAD = Math.PI / 180;

/** From the Sun's centre: how far, and in which direction from the sky's north through east, degrees. */
export interface AroundSun {
  separationDeg: number;
  positionAngleDeg: number;
}

/** @param northDeg where the sky's north stands, degrees counter-clockwise from the frame's top. Undefined behind the camera. */
export function aroundInFrame(
  { separationDeg, positionAngleDeg }: AroundSun,
  focalLengthMm: number,
  northDeg: number,
): InFrame | undefined {
  if (separationDeg >= 89) return undefined;
  const fromMiddleMm = focalLengthMm * Math.tan(separationDeg * RAD);
  // East lies counter-clockwise of north in the sky.
  const angle = (northDeg + positionAngleDeg) * RAD;
  return { xMm: -fromMiddleMm * Math.sin(angle), yMm: fromMiddleMm * Math.cos(angle) };
}
