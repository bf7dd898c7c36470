/**
 * From one drawing of the board to the next: when glasses go on by the clock, and when they went on in
 * another way. Pure; what to keep comes back with what is told.
 */
import { later, type UtcMs } from "../../../shared/time/instants.ts";
import type { BoardView } from "../board-view.ts";

export interface FieldMoments {
  /** Glasses are off in this view, or would be if it were no practice. */
  off: boolean;
  /** When they go on, or went on; null before any. */
  glassesOnUtcMs: UtcMs | null;
  byClock: boolean;
  coverUtcMs: UtcMs | null;
}

export const NO_MOMENTS: FieldMoments = {
  off: false,
  glassesOnUtcMs: null,
  byClock: false,
  coverUtcMs: null,
};

/** On again within so long of the instant that was known ahead: by the clock, ms. */
const SAME_MS = 1500;
/** An instant so long past is no news any more, ms. */
const OVER_MS = 30_000;

/** `onUtcMs`: when they go on by the clock, as this drawing has it; null when they are on. */
export function fieldMoments(
  before: FieldMoments,
  { safety }: Pick<BoardView, "safety">,
  cover: boolean,
  nowUtcMs: UtcMs,
  onUtcMs: UtcMs | null,
): FieldMoments {
  const off = safety === "off" || safety === "offPractice";
  const coverUtcMs = cover ? (before.coverUtcMs ?? nowUtcMs) : null;
  if (off) return { off, glassesOnUtcMs: onUtcMs, byClock: onUtcMs !== null, coverUtcMs };
  const { glassesOnUtcMs, byClock } = before;
  if (before.off) {
    const known = byClock && glassesOnUtcMs !== null && Math.abs(nowUtcMs - glassesOnUtcMs) < SAME_MS;
    return { off, glassesOnUtcMs: known ? glassesOnUtcMs : nowUtcMs, byClock: known, coverUtcMs };
  }
  const over = glassesOnUtcMs !== null && nowUtcMs > later(glassesOnUtcMs, OVER_MS);
  return { off, glassesOnUtcMs: over ? null : glassesOnUtcMs, byClock: byClock && !over, coverUtcMs };
}
