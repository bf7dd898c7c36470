/**
 * Times as files write them. Exif: "2027:08:02 12:02:07" with fractions of a second and the offset in
 * fields of their own (Exif 3.0 §4.6.6; sub-second digits stand after the point: "5" is half a second).
 * ISO 8601 with an offset in videos. FITS: ISO without one, or the old "02/08/27" (FITS 4.0 §9.1).
 */
import { isoDate, parseIsoUtc } from "../../time/iso.ts";
import type { Stamp } from "./file-headers.ts";

/** Exif's date and time; null when it is none (cameras without a clock write blanks or zeros). */
export function exifStamp(
  field: string,
  dateTime: string,
  subSec: string | undefined,
  offset: string | undefined,
): Stamp | null {
  const found = /^(\d{4})[:-](\d\d)[:-](\d\d)[ T](\d\d):(\d\d):(\d\d)/.exec(dateTime.trim());
  if (!found) return null;
  const digits = /^\d{1,9}/.exec((subSec ?? "").trim())?.[0] ?? "";
  const [, year, month, day, h, m, s] = found;
  const localMs = civilMs(`${year}-${month}-${day}`, `${h}:${m}:${s}`, digits);
  if (localMs === null) return null;
  const zone = (offset ?? "").trim();
  const offsetMin = zoneMin(zone);
  return {
    text: `${found[0]}${digits && `.${digits}`}${offsetMin === null ? "" : zone}`,
    localMs,
    stepMs: stepOf(digits),
    offsetMin,
    field,
  };
}

/** ISO 8601 with or without fraction and offset, as videos and FITS carry it; null when it is none. */
export function isoStamp(field: string, text: string): Stamp | null {
  const found =
    /^(\d{4}-\d\d-\d\d)(?:[T ](\d\d:\d\d(?::\d\d)?)(?:[.,](\d{1,9}))?\s*(Z|[+-]\d\d:?\d\d)?)?$/.exec(
      text.trim(),
    );
  if (!found) return null;
  const [, date = "", time, digits = "", zone] = found;
  const withSeconds = time === undefined ? "00:00:00" : time.length === 5 ? `${time}:00` : time;
  const localMs = civilMs(date, withSeconds, digits);
  if (localMs === null) return null;
  const stepMs = time === undefined ? 86_400_000 : time.length === 5 ? 60_000 : stepOf(digits);
  return { text: text.trim(), localMs, stepMs, offsetMin: zone === undefined ? null : zoneMin(zone), field };
}

/** Milliseconds of a date and a time read as UTC, kept to the microsecond; null when there is no such day. */
export function civilMs(date: string, time: string, digits = ""): number | null {
  const whole = parseIsoUtc(`${date}T${time}Z`);
  // A date that does not exist (30 February) is read as another day.
  if (whole === undefined || (isoDate(whole) !== date && !time.startsWith("24"))) return null;
  return whole + (digits === "" ? 0 : Number(`0.${digits}`) * 1000);
}

/** Minutes ahead of UTC of "+02:00", "-0530", "Z"; null for anything else. */
export function zoneMin(zone: string): number | null {
  if (zone === "Z") return 0;
  const found = /^([+-])(\d\d):?(\d\d)$/.exec(zone);
  if (!found) return null;
  const minutes = Number(found[2]) * 60 + Number(found[3]);
  if (minutes > 15 * 60) return null;
  return found[1] === "-" && minutes > 0 ? -minutes : minutes;
}

/** What the last digit stands for; below a millisecond it is no news. */
function stepOf(digits: string): number {
  return Math.max(1, 1000 / 10 ** digits.length);
}
