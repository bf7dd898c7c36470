/**
 * How many alerts a run raised and how fast, as alarm systems are judged (ISA-18.2 and IEC 62682
 * count alarms per operator in ten minutes; about one is very likely acceptable and two the most that
 * can be managed, from memory). Real time: people hear alerts in it, also in a practice.
 */
import type { SiteEvent } from "../run/events.ts";

export interface AlertRate {
  raised: number;
  /**
   * On average over the practice (of a real run, which is months long, from its first alert on), or over
   * ten minutes where that was shorter.
   */
  perTenMinutes: number;
  /** In the worst ten minutes. */
  mostInTenMinutes: number;
  byCause: Record<string, number>;
  /** How long each stood, s, by cause, longest first; those that stood to the end are counted to it. */
  longest: StoodAlert[];
  /** Where somebody was needed: dangers and cautions of each rig, how many and for how long in all; longest first. */
  byRig: { rigId: string; raised: number; stoodS: number }[];
}

interface StoodAlert {
  cause: string;
  rigId: string | null;
  stoodS: number;
}

const TEN_MINUTES_MS = 600_000;
const LONGEST = 10;

/** `fromUtcMs`: when a practice began; null of a real run. */
export function alertRate(
  events: readonly SiteEvent[],
  untilUtcMs: number,
  fromUtcMs: number | null = null,
): AlertRate {
  const byCause: Record<string, number> = Object.create(null);
  const raisedAt: number[] = [];
  const standing = new Map<string, Omit<StoodAlert, "stoodS"> & { at: number; grave: boolean }>();
  const stood: (StoodAlert & { grave: boolean })[] = [];
  for (const event of events) {
    if (event.type === "alertRaised") {
      const { id, cause, rigId, priority } = event.payload;
      byCause[cause] = (byCause[cause] ?? 0) + 1;
      raisedAt.push(event.loggedUtcMs);
      if (!standing.has(id))
        standing.set(id, { cause, rigId, at: event.loggedUtcMs, grave: priority !== "advice" });
    }
    if (event.type === "alertCleared") {
      const one = standing.get(event.payload.id);
      if (!one) continue;
      standing.delete(event.payload.id);
      const { at, ...alert } = one;
      stood.push({ ...alert, stoodS: (event.loggedUtcMs - at) / 1000 });
    }
  }
  for (const { at, ...alert } of standing.values())
    stood.push({ ...alert, stoodS: Math.max(0, untilUtcMs - at) / 1000 });
  stood.sort((a, b) => b.stoodS - a.stoodS);
  const spanMs = Math.max(TEN_MINUTES_MS, untilUtcMs - (fromUtcMs ?? raisedAt[0] ?? untilUtcMs));
  let mostInTenMinutes = 0;
  let from = 0;
  for (const [i, at] of raisedAt.entries()) {
    while (at - (raisedAt[from] as number) >= TEN_MINUTES_MS) from++;
    mostInTenMinutes = Math.max(mostInTenMinutes, i - from + 1);
  }
  return {
    raised: raisedAt.length,
    perTenMinutes: (raisedAt.length * TEN_MINUTES_MS) / spanMs,
    mostInTenMinutes,
    byCause: { ...byCause },
    longest: stood.slice(0, LONGEST).map(({ cause, rigId, stoodS }) => ({ cause, rigId, stoodS })),
    byRig: neededAt(stood),
  };
}

function neededAt(stood: readonly (StoodAlert & { grave: boolean })[]): AlertRate["byRig"] {
  const rigs = new Map<string, AlertRate["byRig"][number]>();
  for (const { rigId, grave, stoodS } of stood) {
    if (rigId === null || !grave) continue;
    const known = rigs.get(rigId) ?? { rigId, raised: 0, stoodS: 0 };
    rigs.set(rigId, { rigId, raised: known.raised + 1, stoodS: known.stoodS + stoodS });
  }
  return [...rigs.values()].sort((a, b) => b.stoodS - a.stoodS);
}
