/**
 * TT, TAI and UTC. UTC = TT − 32.184 s − (TAI−UTC); ΔT = TT − UT1 turns the Earth and nothing
 * else (shared/eclipse). Source: IERS Leap_Second.dat after Bulletin C 72 (valid to 2027-06-28).
 *
 * To update when a leap second is announced: add one row to LEAP_SECONDS below and name the
 * bulletin above; nothing else holds the number.
 */
import { type UtcMs, utcMs } from "./instants.ts";

/** Milliseconds of Terrestrial Time since 1970-01-01T00:00:00 TT. */
declare const tt: unique symbol;
export type TtMs = number & { readonly [tt]: "tt" };

/** TT − TAI in seconds, exact by definition (IAU 1991 Recommendation IV). */
const TT_MINUS_TAI_S = 32.184;

/** [first UTC day with this value, TAI−UTC in s]. Source: IERS Leap_Second.dat. */
const LEAP_SECONDS: readonly (readonly [string, number])[] = [
  ["1990-01-01", 25],
  ["1991-01-01", 26],
  ["1992-07-01", 27],
  ["1993-07-01", 28],
  ["1994-07-01", 29],
  ["1996-01-01", 30],
  ["1997-07-01", 31],
  ["1999-01-01", 32],
  ["2006-01-01", 33],
  ["2009-01-01", 34],
  ["2012-07-01", 35],
  ["2015-07-01", 36],
  ["2017-01-01", 37],
];

const steps = LEAP_SECONDS.map(([day, s]) => [Date.parse(`${day}T00:00:00Z`), s] as const);

/** TAI−UTC in seconds at a UTC instant; before 1990 the value of 1990, after the table its last. */
function taiMinusUtcS(at: number): number {
  let value = steps[0]?.[1] ?? 25;
  for (const [from, s] of steps) if (at >= from) value = s;
  return value;
}

/** TT for a UTC instant. */
export function ttFromUtc(at: UtcMs): TtMs {
  return (at + (TT_MINUS_TAI_S + taiMinusUtcS(at)) * 1000) as TtMs;
}

/** UTC for a TT instant (inside an inserted leap second: the second after it). */
export function utcFromTt(at: TtMs): UtcMs {
  let utc = at - (TT_MINUS_TAI_S + taiMinusUtcS(at)) * 1000;
  utc = at - (TT_MINUS_TAI_S + taiMinusUtcS(utc)) * 1000;
  return utcMs(utc);
}

/** Marks a number of ms since 1970-01-01 TT as TT. */
export function ttMs(value: number): TtMs {
  if (!Number.isFinite(value)) throw new RangeError(`not a finite number of milliseconds: ${value}`);
  return value as TtMs;
}
