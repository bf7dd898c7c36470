/**
 * How many alerts a run raised and how fast, as alarm systems are judged (ISA-18.2 and IEC 62682
 * count alarms per operator in ten minutes; about one is very likely acceptable and two the most that
 * can be managed, from memory). Real time: people hear alerts in it, also in a practice.
 */
import type { AlertPriority } from "../run/alerts/priority.ts";
import type { SiteEvent } from "../run/events.ts";
import { LinesRead } from "./lines-read.ts";

export interface AlertRate {
  raised: number;
  /** As many lines to read (lines-read.ts). */
  read: number;
  /**
   * On average over the practice (of a real run, which is months long, from its first alert on), or over
   * ten minutes where that was shorter.
   */
  perTenMinutes: number;
  /** In the worst ten minutes, as they were read (lines-read.ts). */
  mostInTenMinutes: number;
  byCause: Record<string, number>;
  /** How long each stood, s, by cause, longest first; those that stood to the end are counted to it. */
  longest: StoodAlert[];
  /** Every one, in the order in which they were raised. */
  each: RaisedAlert[];
  /** Leads who said that they were coming ("I'm coming"). */
  went: { by: string; cause: string; rigId: string | null; atRunMs: number }[];
  /** Where somebody was needed: dangers and cautions of each rig, how many and for how long in all; longest first. */
  byRig: { rigId: string; raised: number; stoodS: number }[];
}

interface StoodAlert {
  cause: string;
  rigId: string | null;
  stoodS: number;
}

export interface RaisedAlert extends StoodAlert {
  priority: AlertPriority;
  atRunMs: number;
  /** It was over before the run was. */
  over: boolean;
}

const TEN_MINUTES_MS = 600_000;
const LONGEST = 10;

/** `fromUtcMs`: when a practice began; null of a real run. `at`: run time of a UTC instant. */
export function alertRate(
  events: readonly SiteEvent[],
  untilUtcMs: number,
  fromUtcMs: number | null = null,
  at: (utcMs: number) => number = (ms) => ms,
): AlertRate {
  const byCause: Record<string, number> = Object.create(null);
  const raisedAt: number[] = [];
  const readAt: number[] = [];
  const lines = new LinesRead();
  const each: RaisedAlert[] = [];
  const went: AlertRate["went"] = [];
  const standing = new Map<string, { one: RaisedAlert; sinceUtcMs: number }>();
  for (const event of events) {
    const atUtcMs = event.loggedUtcMs;
    if (event.type === "alertRaised") {
      const { id, cause, rigId, priority } = event.payload;
      byCause[cause] = (byCause[cause] ?? 0) + 1;
      raisedAt.push(atUtcMs);
      if (lines.isNew(event.payload, atUtcMs)) readAt.push(atUtcMs);
      if (standing.has(id)) continue;
      const one = { cause, rigId, priority, atRunMs: at(atUtcMs), stoodS: 0, over: false };
      each.push(one);
      standing.set(id, { one, sinceUtcMs: atUtcMs });
    }
    if (event.type === "alertAnswered" && event.payload.answer === "taken") {
      const { by, alertId } = event.payload;
      const known = standing.get(alertId)?.one;
      if (known) went.push({ by, cause: known.cause, rigId: known.rigId, atRunMs: at(atUtcMs) });
    }
    if (event.type === "alertCleared") {
      const { id } = event.payload;
      const known = standing.get(id);
      if (!known) continue;
      standing.delete(id);
      known.one.stoodS = (atUtcMs - known.sinceUtcMs) / 1000;
      known.one.over = true;
    }
  }
  for (const { one, sinceUtcMs } of standing.values())
    one.stoodS = Math.max(0, untilUtcMs - sinceUtcMs) / 1000;
  const stood = [...each].sort((a, b) => b.stoodS - a.stoodS);
  const spanMs = Math.max(TEN_MINUTES_MS, untilUtcMs - (fromUtcMs ?? raisedAt[0] ?? untilUtcMs));
  let mostInTenMinutes = 0;
  let from = 0;
  for (const [i, at] of readAt.entries()) {
    while (at - (readAt[from] as number) >= TEN_MINUTES_MS) from++;
    mostInTenMinutes = Math.max(mostInTenMinutes, i - from + 1);
  }
  return {
    raised: raisedAt.length,
    read: readAt.length,
    perTenMinutes: (raisedAt.length * TEN_MINUTES_MS) / spanMs,
    mostInTenMinutes,
    byCause: { ...byCause },
    longest: stood.slice(0, LONGEST).map(({ cause, rigId, stoodS }) => ({ cause, rigId, stoodS })),
    each,
    went,
    byRig: neededAt(stood),
  };
}

function neededAt(stood: readonly RaisedAlert[]): AlertRate["byRig"] {
  const rigs = new Map<string, AlertRate["byRig"][number]>();
  for (const { rigId, priority, stoodS } of stood) {
    if (rigId === null || priority === "advice") continue;
    const known = rigs.get(rigId) ?? { rigId, raised: 0, stoodS: 0 };
    rigs.set(rigId, { rigId, raised: known.raised + 1, stoodS: known.stoodS + stoodS });
  }
  return [...rigs.values()].sort((a, b) => b.stoodS - a.stoodS);
}
