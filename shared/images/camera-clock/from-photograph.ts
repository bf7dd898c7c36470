/**
 * From what was found in one photograph of the clock page to a sighting: its header's stamp and the
 * codes that were decoded, or digits that a person read off.
 *
 * The code was on the screen at some moment of the exposure and not only at its beginning, which is
 * what cameras stamp: the exposure is counted against the earliest moment. Of two panels that were both
 * read each bounds the other: the moment lies after the newer was put up and before the older went.
 */
import type { Sighting } from "../../fields/camera-clock.ts";
import { type ClockCode, readClockCode } from "./clock-code.ts";

/** What a photograph's header says, as far as it is needed here. */
export interface PhotographHeader {
  /** Null where the file says nothing of its time. */
  stamp: { localMs: number; stepMs: number } | null;
  exposureS: number | null;
}

/** Why a photograph gives no sighting. */
export type NoSighting = "no time" | "no code" | "codes disagree";

/** Reckoned with where a header says nothing of the exposure, ms: the most at which a code can be read. */
const EXPOSURE_UNKNOWN_MS = 80;
/** Digits on the page change ten times a second; read to the second they stand ten times as long. */
const DIGITS_HOLD_MS = { tenths: 100, seconds: 1000 };

/** @param texts what a decoder found in the picture, codes of others among them. */
export function sightingOf(
  name: string,
  header: PhotographHeader,
  texts: readonly string[],
): Sighting | NoSighting {
  if (!header.stamp) return "no time";
  const codes = texts.map(readClockCode).filter((code): code is ClockCode => code !== null);
  if (codes.length === 0) return "no code";
  const from = Math.max(...codes.map(({ utcMs }) => utcMs));
  const until = Math.min(...codes.map(({ utcMs, holdMs }) => utcMs + holdMs));
  if (until < from) return "codes disagree";
  const exposureMs = exposureOf(header);
  return {
    of: "code",
    name,
    stampMs: header.stamp.localMs,
    stepMs: header.stamp.stepMs,
    utcMs: from - exposureMs,
    holdMs: until - from + exposureMs,
    boundMs: Math.max(...codes.map(({ boundMs }) => boundMs)),
  };
}

/**
 * The same from digits, "10:02:08.3" or "10:02:08" (UTC of the page). The day is the one that brings
 * camera and UTC nearest to `nearMs`, what others say of camera − UTC, or to each other.
 * Null where the text is no time of day, or the photograph has no stamp.
 */
export function sightingOfDigits(
  name: string,
  header: PhotographHeader,
  digits: string,
  boundMs: number,
  nearMs = 0,
): Sighting | null {
  const found = /^\s*([01]?\d|2[0-3])[:. ]([0-5]\d)[:. ]([0-5]\d)(?:[.,](\d))?\s*$/.exec(digits);
  if (!found || !header.stamp) return null;
  const [, h, min, s, tenth] = found;
  const ofDayMs = ((Number(h) * 60 + Number(min)) * 60 + Number(s)) * 1000 + Number(tenth ?? 0) * 100;
  const { localMs, stepMs } = header.stamp;
  const wanted = localMs - nearMs;
  const utcMs = Math.round((wanted - ofDayMs) / 86_400_000) * 86_400_000 + ofDayMs;
  const exposureMs = exposureOf(header);
  const holdMs = tenth === undefined ? DIGITS_HOLD_MS.seconds : DIGITS_HOLD_MS.tenths;
  return {
    of: "digits",
    name,
    stampMs: localMs,
    stepMs,
    utcMs: utcMs - exposureMs,
    holdMs: holdMs + exposureMs,
    boundMs,
  };
}

function exposureOf({ exposureS }: PhotographHeader): number {
  return exposureS === null ? EXPOSURE_UNKNOWN_MS : Math.min(exposureS * 1000, 10_000);
}
