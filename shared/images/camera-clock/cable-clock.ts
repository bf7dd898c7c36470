/**
 * A camera's clock from what it says of itself over a cable, reading by reading. A reading shows whole seconds,
 * so each leaves half a second and more; together they close in. Nothing is to be logged at every one of them:
 * a new word is worth its event when the last one is ten minutes old, or when it tightens the bound well. A
 * reading that contradicts what is known may be a slip; two that agree mean that the clock was set, and
 * from then on only they count. Pure.
 */
import { CABLE_READINGS_MOST, type CableReading, type CameraBasis } from "../../fields/camera-clock.ts";
import { intervalOfReading } from "./known-clock.ts";
import type { OffsetInterval } from "./photographs.ts";
import { type CameraClock, offsetAt, solveIntervals, zoneAndRest } from "./solve.ts";

/** Within so long a word is not said again for the rate's sake, ms. */
const AGAIN_MS = 10 * 60_000;
/** It is for its bound's: a word that has at most this of the bound before. */
const TIGHTER = 0.8;
const ZONE_MOST_MIN = 14 * 60;

export interface CableWord {
  zoneMin: number;
  basis: Extract<CameraBasis, { how: "cable" }>;
}

export interface CableStep {
  /** What is to be noted now; null for nothing yet. */
  word: CableWord | null;
  /** The reading that contradicts the word and waits for another one. */
  odd: CableReading | null;
}

/**
 * @param known the camera's word so far, when that came over the cable
 * @param odd of the step before
 * @param reading camera − UTC with whatever zone it is set to
 */
export function afterReading(
  known: CableWord | null,
  odd: CableReading | null,
  { utcMs, offsetS, boundS }: CableReading,
): CableStep {
  const first = (...readings: CableReading[]): CableStep => {
    const { zoneMin } = zoneAndRest(readings[0] ? readings[0].offsetS * 1000 : 0);
    const zone = Math.abs(zoneMin) <= ZONE_MOST_MIN ? zoneMin : 0;
    return {
      word: { zoneMin: zone, basis: { how: "cable", readings: readings.map((one) => apart(one, zone)) } },
      odd: null,
    };
  };
  const whole = { utcMs, offsetS, boundS };
  if (!known) return first(whole);
  const { zoneMin, basis } = known;
  const last = basis.readings.at(-1);
  // Of readings that come late the newer ones have told all.
  if (!last || utcMs <= last.utcMs) return { word: null, odd };
  const reading = apart(whole, zoneMin);
  const clock = solved(basis.readings, zoneMin);
  if (!clock || !fits(clock, intervalOfReading(reading, zoneMin))) {
    const set = odd && solved([odd, whole], 0)?.used.length === 2;
    return set ? first(odd, whole) : { word: null, odd: whole };
  }
  const readings = withoutIdlest([...basis.readings, reading], zoneMin);
  const closer = solved(readings, zoneMin);
  const boundMs = closer ? offsetAt(closer, utcMs).boundMs : Number.POSITIVE_INFINITY;
  const worth = utcMs - last.utcMs >= AGAIN_MS || boundMs <= TIGHTER * offsetAt(clock, utcMs).boundMs;
  return { word: worth ? { zoneMin, basis: { how: "cable", readings } } : null, odd: null };
}

function apart(reading: CableReading, zoneMin: number): CableReading {
  // Hundredths as the camera's readings are; the zone takes none of it away.
  return { ...reading, offsetS: Math.round((reading.offsetS - zoneMin * 60) * 1000) / 1000 };
}

function solved(readings: readonly CableReading[], zoneMin: number): CameraClock | null {
  return solveIntervals(readings.map((reading) => intervalOfReading(reading, zoneMin)));
}

function fits(clock: CameraClock, { utcMs, leastMs, mostMs }: OffsetInterval): boolean {
  const { offsetMs, boundMs } = offsetAt(clock, utcMs);
  return offsetMs + boundMs >= leastMs && offsetMs - boundMs <= mostMs;
}

/** Where there are too many, the one goes that bounds the line least; the newest stays. */
function withoutIdlest(readings: CableReading[], zoneMin: number): CableReading[] {
  if (readings.length <= CABLE_READINGS_MOST) return readings;
  const clock = solved(readings, zoneMin);
  if (!clock) return readings.slice(1);
  const slack = readings.slice(0, -1).map((reading) => {
    const { leastMs, mostMs, utcMs } = intervalOfReading(reading, zoneMin);
    const { offsetMs, boundMs } = offsetAt(clock, utcMs);
    return Math.min(offsetMs - boundMs - leastMs, mostMs - offsetMs - boundMs);
  });
  const idlest = slack.indexOf(Math.max(...slack));
  return readings.filter((_, at) => at !== idlest);
}
