/** Writing and reading instants as ISO 8601 text. UTC always ends in Z. */
import { type UtcMs, utcMs } from "./instants.ts";

/** ISO 8601 in UTC with milliseconds, e.g. 2027-08-02T10:02:07.123Z (rounded to 1 ms). */
export function isoUtc(at: number): string {
  return new Date(Math.round(at)).toISOString();
}

/** The UTC calendar date, YYYY-MM-DD. */
export function isoDate(at: number): string {
  return isoUtc(at).slice(0, 10);
}

/** Reads an ISO date or date-time in UTC; undefined when it is not one. */
export function parseIsoUtc(text: string): UtcMs | undefined {
  if (!/^[+-]?\d{4,6}-\d\d-\d\d(T\d\d:\d\d(:\d\d(\.\d+)?)?(Z|[+-]\d\d:\d\d)?)?$/.test(text)) return undefined;
  const at = Date.parse(/T.*(Z|[+-]\d\d:\d\d)$/.test(text) || !text.includes("T") ? text : `${text}Z`);
  if (!Number.isFinite(at)) return undefined;
  const day = text.match(/^([+-]?\d{4,6}-\d\d-\d\d)/)?.[1];
  if (day && !text.includes("T") && isoDate(at) !== day) return undefined;
  return utcMs(at);
}
