/** What hub and relays answer of the time (GET /api/time), read strictly: it may come from anybody. */
import type { UtcMs } from "../time/instants.ts";

/** No time is outside of 1990 to 2100, the years of our table of eclipses, UTC ms. */
const TIMES = { fromMs: 631_152_000_000, toMs: 4_133_980_800_000 };

export interface TimeAnswer {
  utcMs: UtcMs;
  /** How far it may be off, ms, 0 or more; what is not known at all arrives as no number. */
  boundMs: number;
}

/** Null where it is no time. */
export function readTime(answer: unknown): TimeAnswer | null {
  const { utcMs, boundMs } = (answer ?? {}) as Record<string, unknown>;
  if (typeof utcMs !== "number" || !(utcMs >= TIMES.fromMs && utcMs <= TIMES.toMs)) return null;
  if (typeof boundMs !== "number" || !(boundMs >= 0)) return null;
  return { utcMs: utcMs as UtcMs, boundMs };
}
