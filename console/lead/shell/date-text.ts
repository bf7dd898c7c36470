/** Dates for people: in the reader's language, figures 0–9. Instants are UTC, ms. */
import { isoDate } from "../../../shared/time/iso.ts";
import { clockText, localClockText, zoneOffsetMin, zoneText } from "../../parts/time-format.ts";
import { intlLocale, t } from "../../words/words.ts";

/** "2 August 2027" of a day written 2027-08-02. */
export function dateText(day: string): string {
  const format = new Intl.DateTimeFormat(intlLocale(), { dateStyle: "long", timeZone: "UTC" });
  return format.format(new Date(`${day}T12:00:00Z`));
}

/** "25 July 2027, 14:05:12 UTC+3" by a zone's civil time; by UTC where the zone is not known. */
export function dateAndTimeText(atMs: number, zone: string): string {
  const offsetMin = zoneOffsetMin(atMs, zone);
  const day = dateText(isoDate(atMs + (offsetMin ?? 0) * 60_000));
  const time = localClockText(atMs, zone) ?? clockText(atMs);
  return `${day}, ${time} ${zoneText(atMs, zone) ?? "UTC"}`;
}

/** "21:04:00 UTC", and "00:59:45 UTC (26 July 2027)" on another day than today, both of UTC. */
export function endText(atUtcMs: number, nowUtcMs: number): string {
  const time = `${clockText(atUtcMs)} ${t("time.utc")}`;
  const day = isoDate(atUtcMs);
  return day === isoDate(nowUtcMs) ? time : `${time} (${dateText(day)})`;
}
