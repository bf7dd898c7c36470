/** What gphoto2 says of a camera (its English output, version 2.5), read. Pure. */
import type { Saying } from "../source.ts";

/** Settings that may be asked for, in gphoto2's own paths; a camera has some of them. */
export const CAMERA_SETTINGS = [
  "/main/status/batterylevel",
  "/main/settings/datetime",
  "/main/imgsettings/iso",
  "/main/capturesettings/shutterspeed",
  "/main/capturesettings/f-number",
] as const;

/** From `--storage-info`: the room on all its stores, GB. Null where none is said. */
export function freeGB(text: string): number | null {
  const free = [...text.matchAll(/^free=(\d+) ?KB$/gm)].map(([, kb]) => Number(kb) * 1024);
  if (free.length === 0) return null;
  const bytes = free.reduce((sum, one) => sum + one, 0);
  return Math.round(bytes / 1e8) / 10;
}

/** From `--num-files`, all folders together. Null where none is said. */
export function fileCount(text: string): number | null {
  const counts = [...text.matchAll(/^Number of files in folder '.*': (\d+)$/gm)].map(([, n]) => Number(n));
  return counts.length === 0 ? null : counts.reduce((sum, one) => sum + one, 0);
}

/** From `--get-config`: the current value of one setting. */
export function currentOf(text: string): string | null {
  return /^Current: (.*)$/m.exec(text)?.[1]?.trim() ?? null;
}

export function batterySaying(value: string | null): Saying {
  const found = /^(\d{1,3})\s*%?$/.exec(value ?? "");
  const pct = found ? Number(found[1]) : Number.NaN;
  return pct >= 0 && pct <= 100 ? { batteryPct: pct } : {};
}

export function exposureSaying(shutter: string | null, iso: string | null, fNumber: string | null): Saying {
  return {
    ...between("exposureS", seconds(shutter), 0, 3600),
    ...between("iso", plain(iso), 0, 1e7),
    ...between("fNumber", plain(fNumber?.replace(/^f\/?/i, "") ?? null), 0.5, 512),
  };
}

/** "1/500", "0.0020s", "2", "1.3". */
function seconds(text: string | null): number | null {
  const fraction = /^(\d+)\/(\d+)\s*s?$/.exec(text ?? "");
  if (fraction) return Number(fraction[1]) / Number(fraction[2]);
  return plain(text?.replace(/s$/, "") ?? null);
}

function plain(text: string | null): number | null {
  return text !== null && /^\d+(\.\d+)?$/.test(text.trim()) ? Number(text) : null;
}

function between(field: keyof Saying, value: number | null, least: number, most: number): Saying {
  return value !== null && value >= least && value <= most ? { [field]: value } : {};
}

/**
 * A camera's clock against UTC: it was read at some instant between asking and the answer, and shows whole
 * seconds. gphoto2 gives the camera's time of day as a Unix time by this machine's zone.
 * @param cameraS what the camera showed @param askedUtcMs @param answeredUtcMs by the eclipse clock
 * @param clockBoundMs of that clock against UTC
 */
export function clockSaying(
  cameraS: number,
  askedUtcMs: number,
  answeredUtcMs: number,
  clockBoundMs: number,
): Saying {
  // True camera time lies in [cameraS, cameraS + 1), UTC in [asked, answered].
  const least = cameraS - answeredUtcMs / 1000;
  const most = cameraS + 1 - askedUtcMs / 1000;
  const middle = (least + most) / 2;
  const bound = (most - least) / 2 + clockBoundMs / 1000;
  if (!Number.isFinite(middle) || Math.abs(middle) > 4e9 || !(bound <= 1e6)) return {};
  return { cameraClockS: Math.round(middle * 100) / 100, cameraClockBoundS: Math.ceil(bound * 100) / 100 };
}
