/**
 * The clock that follows from what somebody said of a camera: from sightings by the method of
 * solve.ts, from what it said over a cable likewise, from an offset typed by hand with what a crystal may
 * drift away from that instant.
 */
import type { CableReading, CameraBasis, Sighting } from "../../fields/camera-clock.ts";
import { intervalOf, type OffsetInterval, stampInterval } from "./photographs.ts";
import { type CameraClock, solveIntervals } from "./solve.ts";

/** What is possible by one sighting. Digits and codes went through a display, instants did not. */
export function intervalOfSighting(seen: Sighting): OffsetInterval {
  const { of, stampMs, stepMs, utcMs, holdMs, boundMs } = seen;
  return of === "code" || of === "digits"
    ? intervalOf({ stampMs, stepMs, shownUtcMs: utcMs, holdMs, boundMs })
    : stampInterval(stampMs, stepMs, utcMs - boundMs, utcMs + holdMs + boundMs);
}

/** What is possible by a camera's basis, one interval for each of its sightings. */
export function intervalsOf(basis: CameraBasis, zoneMin: number): OffsetInterval[] {
  if (basis.how === "unknown") return [];
  if (basis.how === "sightings") return basis.sightings.map(intervalOfSighting);
  return basis.how === "cable"
    ? basis.readings.map((reading) => intervalOfReading(reading, zoneMin))
    : [intervalOfReading(basis, zoneMin)];
}

/** What is possible by an offset that is said with its bound, apart from the zone. */
export function intervalOfReading({ utcMs, offsetS, boundS }: CableReading, zoneMin: number): OffsetInterval {
  const offsetMs = offsetS * 1000 + zoneMin * 60_000;
  return { utcMs, leastMs: offsetMs - boundS * 1000, mostMs: offsetMs + boundS * 1000 };
}

/**
 * Offset (zone included: camera's stamp − UTC) and rate of a camera, or null where nothing is known.
 * With it `utcOfStamp` (solve.ts) gives the UTC of any stamp, and its bound.
 */
export function clockOf(basis: CameraBasis, zoneMin: number): CameraClock | null {
  return solveIntervals(intervalsOf(basis, zoneMin));
}

/** By how much a sighting that was dropped misses what the others leave possible, ms; 0 for one that fits. */
export function missMs({ corners, originUtcMs }: CameraClock, interval: OffsetInterval): number {
  const offsets = corners.map(([offset, rate]) => offset + rate * (interval.utcMs - originUtcMs));
  const [least, most] = [Math.min(...offsets), Math.max(...offsets)];
  return Math.max(0, interval.leastMs - most, least - interval.mostMs);
}
