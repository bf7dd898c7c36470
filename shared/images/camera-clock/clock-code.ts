/**
 * The code that the clock page shows to be photographed: 17 digits, what a QR code of version 1 with
 * error correction H holds in numbers (ISO/IEC 18004, table 7).
 *
 *   13  UTC at which it was put up, ms since 1970
 *    1  0 or 1 the panel, usual pace · 2 or 3 the panel, fast pace
 *    2  how well the clock knew UTC: k for at most 10^(k/12) ms, rounded up
 *    1  check digit over the 16 before (Luhn, ISO/IEC 7812-1, annex B): other codes in a picture are told apart
 *
 * Two panels change in turn, so that one of them stands still in any short exposure.
 */

export type Pace = "usual" | "fast";
/** From one change to the next of the other panel, ms: each panel stands for two of them. */
export const STEP_MS: Record<Pace, number> = { usual: 100, fast: 50 };
/** The widest bound that can be written, ms: some two days. */
export const BOUND_MOST_MS = boundOf(99);

export interface ClockCode {
  utcMs: number;
  panel: 0 | 1;
  pace: Pace;
  /** For how long it stood, ms. */
  holdMs: number;
  /** How far the clock may have been from UTC, ms. */
  boundMs: number;
}

/** When what a panel shows at an instant was put up, UTC ms. */
export function shownSince(utcMs: number, panel: 0 | 1, pace: Pace): number {
  const holdMs = 2 * STEP_MS[pace];
  const phaseMs = panel * STEP_MS[pace];
  return Math.floor((utcMs - phaseMs) / holdMs) * holdMs + phaseMs;
}

/** The digits of a panel; null where the clock does not know UTC to within BOUND_MOST_MS. */
export function codeDigits(utcMs: number, panel: 0 | 1, pace: Pace, boundMs: number): string | null {
  if (!(boundMs <= BOUND_MOST_MS)) return null;
  // A whole number of hundredths of an octave too much never makes a bound too small.
  const k = Math.max(0, Math.ceil(12 * Math.log10(Math.max(1, boundMs)) - 1e-9));
  const body = `${String(Math.round(utcMs)).padStart(13, "0")}${panel + (pace === "fast" ? 2 : 0)}${String(k).padStart(2, "0")}`;
  return `${body}${luhnDigit(body)}`;
}

/** Reads what a decoder found; null for a code that is not of this clock. */
export function readClockCode(text: string): ClockCode | null {
  if (!/^\d{17}$/.test(text) || luhnDigit(text.slice(0, 16)) !== Number(text[16])) return null;
  const mode = Number(text[13]);
  if (mode > 3) return null;
  const pace: Pace = mode >= 2 ? "fast" : "usual";
  return {
    utcMs: Number(text.slice(0, 13)),
    panel: mode % 2 === 0 ? 0 : 1,
    pace,
    holdMs: 2 * STEP_MS[pace],
    boundMs: boundOf(Number(text.slice(14, 16))),
  };
}

function boundOf(k: number): number {
  return 10 ** (k / 12);
}

function luhnDigit(digits: string): number {
  let sum = 0;
  for (let i = 0; i < digits.length; i++) {
    const digit = Number(digits[digits.length - 1 - i]);
    // Every second from the right, the check digit not counted.
    sum += i % 2 === 0 ? (digit > 4 ? 2 * digit - 9 : 2 * digit) : digit;
  }
  return (10 - (sum % 10)) % 10;
}
