/**
 * Times as text. Instants are milliseconds on the scale of UTC (UTC itself or run time); clocks
 * show the second that is running (rounded down), countdowns the seconds still to go (rounded up),
 * so that a countdown reaches 0:00 at the event and not a second before.
 * Figures are 0–9 in every language. No words here, except the letters UTC.
 */

const DAY_S = 86_400;

/** UTC of the day as hh:mm:ss. */
export function clockText(atMs: number): string {
  const s = modulo(Math.floor(atMs / 1000), DAY_S);
  return `${two(Math.floor(s / 3600))}:${two(Math.floor(s / 60) % 60)}:${two(s % 60)}`;
}

/** The civil time of an IANA zone as hh:mm:ss; null for a zone that this device does not know. */
export function localClockText(atMs: number, zone: string): string | null {
  const offset = zoneOffsetMin(atMs, zone);
  return offset === null ? null : clockText(atMs + offset * 60_000);
}

/** Minutes east of UTC of an IANA zone at an instant; null for a zone this device does not know. */
export function zoneOffsetMin(atMs: number, zone: string): number | null {
  const format = formatOf(zone);
  if (!format) return null;
  const parts = Object.fromEntries(format.formatToParts(atMs).map((part) => [part.type, Number(part.value)]));
  const { year = 0, month = 1, day = 1, hour = 0, minute = 0, second = 0 } = parts;
  const civilMs = Date.UTC(year, month - 1, day, hour, minute, second);
  return Math.round((civilMs - Math.floor(atMs / 1000) * 1000) / 60_000);
}

/** "UTC+3", "UTC−3:30", "UTC" (Unicode minus). */
export function zoneText(atMs: number, zone: string): string | null {
  const offset = zoneOffsetMin(atMs, zone);
  if (offset === null) return null;
  if (offset === 0) return "UTC";
  const most = Math.abs(offset);
  const minutes = most % 60 === 0 ? "" : `:${two(most % 60)}`;
  return `UTC${offset < 0 ? "−" : "+"}${Math.floor(most / 60)}${minutes}`;
}

/** Time still to go: "0:12", "4:07", "1:21:06"; "0:00" once it has come. */
export function countdownText(toGoMs: number): string {
  return lengthText(Math.max(0, Math.ceil(toGoMs / 1000)));
}

/** Time gone by: "0:12", "4:07"; "0:00" before it began. */
export function elapsedText(sinceMs: number): string {
  return lengthText(Math.max(0, Math.floor(sinceMs / 1000)));
}

/** Milliseconds as people read a bound: "8 ms", "0.4 s", "12 s", "3 min"; "—" when unknown. */
export function boundText(boundMs: number | null): string {
  if (boundMs === null || !Number.isFinite(boundMs)) return "—";
  if (boundMs < 100) return `${Math.max(1, Math.ceil(boundMs))} ms`;
  if (boundMs < 10_000) return `${(Math.ceil(boundMs / 100) / 10).toFixed(1)} s`;
  const s = Math.ceil(boundMs / 1000);
  return s < 120 ? `${s} s` : `${Math.ceil(s / 60)} min`;
}

/** Whole hours, minutes and seconds of a length, for sentences. */
export function lengthParts(lengthS: number): { h: number; min: number; s: number } {
  const whole = Math.max(0, Math.round(lengthS));
  return { h: Math.floor(whole / 3600), min: Math.floor(whole / 60) % 60, s: whole % 60 };
}

function lengthText(s: number): string {
  const h = Math.floor(s / 3600);
  const min = Math.floor(s / 60) % 60;
  return h > 0 ? `${h}:${two(min)}:${two(s % 60)}` : `${min}:${two(s % 60)}`;
}

const formats = new Map<string, Intl.DateTimeFormat | null>();

function formatOf(zone: string): Intl.DateTimeFormat | null {
  let format = formats.get(zone);
  if (format !== undefined) return format;
  try {
    format = zone
      ? new Intl.DateTimeFormat("en-u-nu-latn-ca-gregory", {
          timeZone: zone,
          hourCycle: "h23",
          year: "numeric",
          month: "numeric",
          day: "numeric",
          hour: "numeric",
          minute: "numeric",
          second: "numeric",
        })
      : null;
  } catch {
    format = null;
  }
  formats.set(zone, format);
  return format;
}

function two(value: number): string {
  return String(value).padStart(2, "0");
}

function modulo(value: number, by: number): number {
  return ((value % by) + by) % by;
}
