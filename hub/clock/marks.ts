/**
 * Setting the clock by hand: the lead presses at a mark (a watch's full minute, the last of the
 * radio pips) and says which instant it was. Pure.
 *
 * A person anticipating a beat is some tens of ms off, one reacting to it 160–190 ms late (simple
 * reaction to sound and light; Kosinski, A Literature Review on Reaction Time, quoted second-hand).
 * So a constant 200 ms stays in the bound however many marks agree; the mean's scatter adds to it
 * by Student's t at 99.5 % (two-sided 99 %). One mark alone: 500 ms.
 */
import { type MonoMs, monoMs } from "../../shared/time/instants.ts";
import { CRYSTAL_PPM, type OffsetEstimate } from "./ports.ts";

export interface Mark {
  /** UTC − monotonic, ms, as the lead's press says. */
  offsetMs: number;
  atMono: MonoMs;
  /** What sleeps and restarts since have added to its bound, ms. */
  doubtMs?: number;
}

const REACTION_MS = 200;
const ONE_MARK_MS = 500;
/** Student's t, 0.995 quantile, for 1…10 degrees of freedom, then about normal. Standard tables. */
const T995 = [63.66, 9.925, 5.841, 4.604, 4.032, 3.707, 3.499, 3.355, 3.25, 3.169];

export function estimateFromMarks(marks: readonly Mark[]): OffsetEstimate | undefined {
  const n = marks.length;
  const newest = marks[n - 1];
  if (!newest) return undefined;
  const mean = marks.reduce((s, m) => s + m.offsetMs, 0) / n;
  const atMono = monoMs(marks.reduce((s, m) => s + m.atMono, 0) / n);
  const doubt = Math.max(...marks.map((m) => m.doubtMs ?? 0));
  if (n === 1) return { offsetMs: mean, boundMs: ONE_MARK_MS + doubt, atMono };
  const variance = marks.reduce((s, m) => s + (m.offsetMs - mean) ** 2, 0) / (n - 1);
  const scatter = (T995[n - 2] ?? 3.0) * Math.sqrt(variance / n);
  const spread = ((newest.atMono - (marks[0] as Mark).atMono) / 1000) * CRYSTAL_PPM * 1e-3;
  // two marks say little of their scatter: never worse than one mark with their difference
  const cap = ONE_MARK_MS + Math.max(...marks.map((m) => Math.abs(m.offsetMs - mean)));
  return { offsetMs: mean, boundMs: Math.min(REACTION_MS + scatter, cap) + spread + doubt, atMono };
}
