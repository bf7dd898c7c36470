/**
 * The order of the array's rows. Rows keep their places: the plan's order, above it the rigs in
 * trouble, worst first. A row rises at once when it comes into trouble or into worse; it sinks
 * only after ten calm seconds, so that a row does not jump away from a reaching hand.
 *
 * Among rows that are equally bad the one that rose first stays above. Pure: time is an argument.
 */

import { ownValue } from "../../../../shared/fields/own-key.ts";

/** Of the worst alert, as shared/run/alerts/priority.ts ranks it; null for nothing that asks for anybody. */
export type Rank = number | null;

export interface RowTrouble {
  rigId: string;
  rank: Rank;
}

/** What must be remembered of a raised row. */
export interface RaisedRow {
  rank: number;
  sinceMs: number;
  /** Since when it has been better than `rank`; null while it is not. */
  betterSinceMs: number | null;
}

export type RaisedRows = Readonly<Record<string, RaisedRow>>;

/** How long a row stays up after it has become calm, ms. */
export const CALM_MS = 10_000;

/** `rows` in the plan's order; `nowMs` on any clock that does not go back. */
export function orderRows(
  before: RaisedRows,
  rows: readonly RowTrouble[],
  nowMs: number,
): { order: string[]; raised: RaisedRows } {
  const raised: Record<string, RaisedRow> = {};
  for (const { rigId, rank } of rows) {
    const now = raise(ownValue(before, rigId), rank, nowMs);
    if (now) raised[rigId] = now;
  }
  const place = new Map(rows.map((row, index) => [row.rigId, index]));
  const up = Object.entries(raised).sort(
    ([a, x], [b, y]) => x.rank - y.rank || x.sinceMs - y.sinceMs || (place.get(a) ?? 0) - (place.get(b) ?? 0),
  );
  const order = up.map(([rigId]) => rigId);
  for (const { rigId } of rows) if (!ownValue(raised, rigId)) order.push(rigId);
  return { order, raised };
}

function raise(before: RaisedRow | undefined, rank: Rank, nowMs: number): RaisedRow | null {
  if (!before) return rank === null ? null : { rank, sinceMs: nowMs, betterSinceMs: null };
  if (rank !== null && rank <= before.rank) {
    const worse = rank < before.rank;
    return { rank, sinceMs: worse ? nowMs : before.sinceMs, betterSinceMs: null };
  }
  const betterSinceMs = before.betterSinceMs ?? nowMs;
  if (nowMs - betterSinceMs < CALM_MS) return { ...before, betterSinceMs };
  return rank === null ? null : { rank, sinceMs: before.sinceMs, betterSinceMs: null };
}
