/** A time of day in UTC as it stands on a watch, and the instant nearest to now that it means. */
const DAY_MS = 86_400_000;

/** "08:52:48", "8:52", "085248.5" → ms of the day; null when it is none. */
export function readTimeOfDay(text: string): number | null {
  const found = /^(\d{1,2}):?(\d{2})(?::?(\d{2}(?:[.,]\d{1,3})?))?$/.exec(text.trim());
  if (!found) return null;
  const hours = Number(found[1]);
  const minutes = Number(found[2]);
  const seconds = Number((found[3] ?? "0").replace(",", "."));
  if (hours > 23 || minutes > 59 || seconds >= 60) return null;
  return Math.round(((hours * 60 + minutes) * 60 + seconds) * 1000);
}

/** The instant nearest to `nowMs` whose time of day this is: watches know no dates. */
export function nextMarkMs(ofDayMs: number, nowMs: number): number {
  const day = Math.floor(nowMs / DAY_MS) * DAY_MS;
  return [day - DAY_MS, day, day + DAY_MS]
    .map((start) => start + ofDayMs)
    .reduce((best, at) => (Math.abs(at - nowMs) < Math.abs(best - nowMs) ? at : best));
}
