/**
 * How often a board without a socket asks for the newest. Pure; chance comes in.
 *
 * Ten seconds ± 20 %, two near a contact, slower where the document asks for it, and less and less
 * often where nothing answers: a field of fifty thousand must neither come in step nor knock a
 * relay down that has just come back. Numbers are common practice, no source.
 */
import type { BoardDocument } from "../protocol/board-document.ts";
import { later, type RunMs, type UtcMs, utcMs } from "../time/instants.ts";

const CALM_MS = 10_000;
const NEAR_MS = 2000;
/** Who has nothing to show yet comes again sooner. */
const EMPTY_MS = 4000;
/** Around C2 to C3, and around the other contacts, ms. */
const AROUND_TOTALITY_MS = 60_000;
const AROUND_OTHERS_MS = 20_000;
const JITTER = 0.2;
const MOST_GAP_MS = 60_000;
/** Near a contact nobody stays away longer. */
const MOST_NEAR_GAP_MS = 8000;
/**
 * While glasses may be off nobody is asked to come slower than this many times the usual, nor stays away
 * longer than this: what a document says then holds for twelve seconds only (hub/feeds/board-seal.ts).
 */
const CALLED = { mostSlow: 2, mostGapMs: 3500 };
/** Whoever backs off comes within so many times the gap: failures come to all at one time. */
const BACK_OFF_SPREAD = 0.5;

interface PaceNow {
  document: BoardDocument | null;
  nowUtcMs: UtcMs;
  /** Answers missing in a row. */
  failures: number;
  /** How long the relay asked to be left alone, ms; 0 when it did not. */
  retryAfterMs: number;
  /** 0 … 1 */
  chance: number;
}

/** Until the next look, ms. */
export function boardGapMs({ document, nowUtcMs, failures, retryAfterMs, chance }: PaceNow): number {
  const near = document !== null && isNearContact(document, nowUtcMs);
  const called = document !== null && document.calledTotalityMs !== null && document.calledReturnMs === null;
  const slow = Math.min(document?.slow ?? 1, near && called ? CALLED.mostSlow : Number.POSITIVE_INFINITY);
  const base = (near ? NEAR_MS : document ? CALM_MS : EMPTY_MS) * slow;
  if (failures === 0) return base * (1 + JITTER * (2 * chance - 1));
  const mostMs = near ? (called ? CALLED.mostGapMs : MOST_NEAR_GAP_MS) : MOST_GAP_MS;
  const backed = Math.min(mostMs, base * 2 ** Math.min(failures, 6));
  const spread = 1 + BACK_OFF_SPREAD * (2 * chance - 1);
  return Math.max(backed * spread, Math.min(MOST_GAP_MS, retryAfterMs) * (1 + chance));
}

function isNearContact(document: BoardDocument, now: UtcMs): boolean {
  const { practice, contacts, realContacts } = document;
  const on = practice && now < practice.endsAtUtcMs ? practice : null;
  const here = practice && !on ? realContacts : contacts;
  const { c1, c2, max, c3, c4 } = here;
  const utcOf = (at: RunMs): UtcMs =>
    on ? later(on.startedUtcMs, (at - on.startRunMs) / on.rate) : utcMs(at);
  const near = (from: RunMs | null, to: RunMs | null, aroundMs: number): boolean =>
    from !== null && to !== null && now >= utcOf(from) - aroundMs && now <= utcOf(to) + aroundMs;
  return near(c2, c3, AROUND_TOTALITY_MS) || [c1, max, c4].some((at) => near(at, at, AROUND_OTHERS_MS));
}
