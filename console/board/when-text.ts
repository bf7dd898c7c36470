/** When something comes, for visitors: by the site's civil time, its zone named, the date if not today. */
import { clockText, localClockText, zoneOffsetMin, zoneText } from "../parts/time-format.ts";
import { intlLocale, t } from "../words/words.ts";

const MINUTE_MS = 60_000;
const DAY_MS = 86_400_000;

/** "13:02:08 UTC+3"; by UTC where this device does not know the zone. */
export function zonedText(atMs: number, zone: string): string {
  const local = localClockText(atMs, zone);
  return local === null ? `${clockText(atMs)} UTC` : `${local} ${zoneText(atMs, zone)}`;
}

/** "13:02:08 local time (UTC+3)"; by UTC where this device does not know the zone. */
export function namedTimeText(atMs: number, zone: string): string {
  const local = localClockText(atMs, zone);
  if (local === null) return `${clockText(atMs)} ${t("time.utc")}`;
  return `${local} ${t("time.local")} (${zoneText(atMs, zone)})`;
}

/** "at 13:02:08 local time (UTC+3)", on another day than today "on Monday 2 August 2027 at …". */
export function whenText(atMs: number, nowMs: number, zone: string): string {
  const time = namedTimeText(atMs, zone);
  if (civilDay(atMs, zone) === civilDay(nowMs, zone)) return t("board.next.at", { time });
  return t("board.next.on", { date: dateText(atMs, zone), time });
}

/** The site's days, counted; by UTC where this device does not know the zone. */
function civilDay(atMs: number, zone: string): number {
  return Math.floor((atMs + (zoneOffsetMin(atMs, zone) ?? 0) * MINUTE_MS) / DAY_MS);
}

function dateText(atMs: number, zone: string): string {
  const format = new Intl.DateTimeFormat(intlLocale(), {
    weekday: "long",
    day: "numeric",
    month: "long",
    year: "numeric",
    timeZone: "UTC",
  });
  return format.format(atMs + (zoneOffsetMin(atMs, zone) ?? 0) * MINUTE_MS);
}
