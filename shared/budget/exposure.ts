/**
 * Exposure of each phenomenon at one rig: t = f²/(ISO·2^Q), longer by what a low Sun loses in the
 * air. Source of the formula: NASA RP 1369 (phenomena.ts); of the loss: extinction.ts.
 *
 * It is where to begin, not what to end with: haze, thin cloud and the camera's own sensitivity
 * decide by a stop, and the corona differs from one eclipse to the next.
 */
import { nearestStop, stopsBeyond } from "./camera-stops.ts";
import { brightnessQ, PHENOMENA, type Phenomenon } from "./phenomena.ts";

export interface Optics {
  /** Of the lens or telescope itself, mm. */
  focalLengthMm: number;
  /** Free diameter, mm; null where the f-number is known instead. */
  apertureMm: number | null;
  /** Of the lens or telescope itself; null where the diameter is known instead. */
  fNumber: number | null;
  /** What a reducer (below 1) or extender (above 1) makes of the focal length. */
  factor: number;
}

/** Focal length and f-number as they work at the sensor; undefined where neither is known. */
export function workingOptics(optics: Optics): { focalLengthMm: number; fNumber: number } | undefined {
  const { focalLengthMm, apertureMm, factor } = optics;
  const own = optics.fNumber ?? (apertureMm === null ? null : focalLengthMm / apertureMm);
  if (own === null) return undefined;
  return { focalLengthMm: focalLengthMm * factor, fNumber: own * factor };
}

/** Seconds of exposure. `lossStops` is what the air takes beyond the table's Sun well up, ≥ 0. */
export function exposureS(fNumber: number, iso: number, q: number, lossStops = 0): number {
  return (fNumber ** 2 / (iso * 2 ** q)) * 2 ** lossStops;
}

export interface ExposureLine {
  phenomenon: Phenomenon;
  seconds: number;
  /** The camera's nearest time as printed on it. */
  stop: string;
  /** The camera has no such time: so many stops too bright (positive) or too dark, when over half a stop. */
  offStops: number;
}

export interface ExposureNeeds {
  fNumber: number;
  iso: number;
  /** Optical density of the solar filter; null where there is none: then no partial phase is given. */
  filterDensity: number | null;
  lossStops: number;
  ownQ?: Partial<Readonly<Record<Phenomenon, number>>> | undefined;
}

/** All phenomena, brightest list first as the eclipse goes. */
export function exposures(needs: ExposureNeeds): ExposureLine[] {
  const { fNumber, iso, filterDensity, lossStops, ownQ } = needs;
  const lines: ExposureLine[] = [];
  for (const phenomenon of PHENOMENA) {
    if (phenomenon === "partial" && filterDensity === null) continue;
    const q = brightnessQ(phenomenon, filterDensity ?? 5, ownQ);
    const seconds = exposureS(fNumber, iso, q, lossStops);
    const stop = nearestStop(seconds);
    const beyond = stopsBeyond(stop, seconds);
    lines.push({ phenomenon, seconds, stop: stop.name, offStops: Math.abs(beyond) > 0.5 ? beyond : 0 });
  }
  return lines;
}
