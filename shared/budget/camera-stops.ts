/**
 * The shutter times that cameras offer, as they print them: thirds of a stop from 1/8000 s to 30 s,
 * then whole stops by hand. The printed names are rounded (common practice, no source): 1/125 stands
 * for 2^−7 s.
 */

const FASTEST_THIRD = -39;
const NAMES =
  "1/8000 1/6400 1/5000 1/4000 1/3200 1/2500 1/2000 1/1600 1/1250 1/1000 1/800 1/640 1/500 1/400 1/320 1/250 1/200 1/160 1/125 1/100 1/80 1/60 1/50 1/40 1/30 1/25 1/20 1/15 1/13 1/10 1/8 1/6 1/5 1/4 0.3 0.4 0.5 0.6 0.8 1 1.3 1.6 2 2.5 3.2 4 5 6 8 10 13 15 20 25 30".split(
    " ",
  );
const BY_HAND = [60, 120, 240];

export interface CameraStop {
  /** As printed on the camera, seconds: "1/250", "0.5", "4". */
  name: string;
  /** What the name stands for, s. */
  seconds: number;
}

export const CAMERA_STOPS: readonly CameraStop[] = [
  ...NAMES.map((name, at) => ({ name, seconds: 2 ** ((FASTEST_THIRD + at) / 3) })),
  ...BY_HAND.map((seconds) => ({ name: String(seconds), seconds: 2 ** Math.round(Math.log2(seconds)) })),
];

/** The offered time that is nearest in stops; what lies beyond both ends gets the end. */
export function nearestStop(seconds: number): CameraStop {
  const off = (stop: CameraStop) => Math.abs(Math.log2(stop.seconds / seconds));
  return CAMERA_STOPS.reduce((best, stop) => (off(stop) < off(best) ? stop : best));
}

/** How many stops an offered time lies beyond what was asked; negative when it is shorter. */
export function stopsBeyond(stop: CameraStop, seconds: number): number {
  return Math.log2(stop.seconds / seconds);
}

/** Reads "1/250", "0.5" or "4"; undefined when it is no shutter time. */
export function readShutter(text: string): number | undefined {
  const match = /^\s*(?:1\s*\/\s*(\d+(?:\.\d+)?)|(\d+(?:\.\d+)?))\s*s?\s*$/.exec(text);
  if (!match) return undefined;
  const seconds = match[1] === undefined ? Number(match[2]) : 1 / Number(match[1]);
  return Number.isFinite(seconds) && seconds > 0 ? seconds : undefined;
}
