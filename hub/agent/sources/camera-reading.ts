/** What gphoto2 says of a camera (its English output, version 2.5), read. Pure. */
import type { Saying } from "../source.ts";
import { figure } from "./figure.ts";

/** From `--storage-info`: the room on all its stores, GB. Null where none is said. */
export function freeGB(text: string): number | null {
  const free = [...text.matchAll(/^free=(\d+) ?KB$/gm)].map(([, kb]) => Number(kb) * 1024);
  if (free.length === 0) return null;
  const bytes = free.reduce((sum, one) => sum + one, 0);
  return Math.round(bytes / 1e8) / 10;
}

/** From `--list-files`: how many there are. Null where nothing is said. */
export function fileCount(text: string): number | null {
  if (!/^There (is|are) /m.test(text)) return null;
  return [...text.matchAll(/^There (?:is|are) (\d+) files? in folder/gm)].reduce(
    (sum, [, n]) => sum + Number(n),
    0,
  );
}

type Wanted = "battery" | "clock" | "iso" | "exposure" | "fNumber";

/**
 * Which of a camera's settings say what: by the ends of gphoto2's paths, the likelier first. A camera that
 * names none has the standard's own numbers (PTP, ISO 15740: 5001, 5007 in hundredths, 500d in 1/10,000 s).
 */
const PATHS: Readonly<Record<Wanted, readonly { ends: RegExp; parts: number }[]>> = {
  battery: [
    { ends: /\/batterylevel$/i, parts: 1 },
    { ends: /\/other\/5001$/, parts: 1 },
  ],
  clock: [{ ends: /\/settings\/datetime$/, parts: 1 }],
  iso: [
    { ends: /\/iso$/, parts: 1 },
    { ends: /\/other\/500f$/, parts: 1 },
  ],
  exposure: [
    { ends: /\/(shutterspeed2?|exposuretime)$/, parts: 1 },
    { ends: /\/other\/500d$/, parts: 10_000 },
  ],
  fNumber: [
    { ends: /\/(f-number|aperture)$/, parts: 1 },
    { ends: /\/other\/5007$/, parts: 100 },
  ],
};

export interface Setting {
  wanted: Wanted;
  path: string;
  /** How many of its units make one of ours. */
  parts: number;
}

/** From `--list-config`: the settings to ask for. */
export function settingsIn(list: string): Setting[] {
  const paths = list.split("\n").map((line) => line.trim());
  return (Object.keys(PATHS) as Wanted[]).flatMap((wanted) => {
    for (const { ends, parts } of PATHS[wanted]) {
      const path = paths.find((one) => one.startsWith("/main/") && ends.test(one));
      if (path) return [{ wanted, path, parts }];
    }
    return [];
  });
}

/** The answers to several `--get-config`, in their order: each ends with END. */
export function currentValues(text: string): (string | null)[] {
  return text
    .split(/^END$/m)
    .slice(0, -1)
    .map((part) => /^Current: (.*)$/m.exec(part)?.[1]?.trim() ?? null);
}

/** What the settings say but for the clock. */
export function sayingOf({ wanted, parts }: Setting, value: string | null): Saying {
  if (value === null) return {};
  if (wanted === "battery") return figure("batteryPct", plain(value.replace(/\s*%$/, "")));
  if (wanted === "iso") return figure("iso", plain(value));
  if (wanted === "exposure") return figure("exposureS", scaled(seconds(value), parts));
  if (wanted === "fNumber") return figure("fNumber", scaled(plain(value.replace(/^f\/?/i, "")), parts));
  return {};
}

/** "1/500", "0.0020s", "2". */
function seconds(text: string): number | null {
  const fraction = /^(\d+)\/(\d+)\s*s?$/.exec(text);
  return fraction ? Number(fraction[1]) / Number(fraction[2]) : plain(text.replace(/s$/, ""));
}

function plain(text: string): number | null {
  return /^\d+(\.\d+)?$/.test(text.trim()) ? Number(text) : null;
}

function scaled(value: number | null, parts: number): number | null {
  return value === null ? null : value / parts;
}

/**
 * A camera's clock against UTC: it was read at some instant between asking and the answer, and shows whole
 * seconds. Camera minus UTC, with whatever zone it is set to.
 * @param shownS what it showed, taken for UTC, Unix time in s @param askedUtcMs @param answeredUtcMs by the
 * eclipse clock @param clockBoundMs of that clock against UTC
 */
export function clockSaying(
  shownS: number,
  askedUtcMs: number,
  answeredUtcMs: number,
  clockBoundMs: number,
): Saying {
  // The camera's own time lay in [shown, shown + 1), UTC in [asked, answered].
  const least = shownS - answeredUtcMs / 1000;
  const most = shownS + 1 - askedUtcMs / 1000;
  // The middle is rounded to hundredths.
  const bound = (most - least) / 2 + clockBoundMs / 1000 + 0.005;
  if (!Number.isFinite(least) || !(bound <= 1e6)) return {};
  return {
    ...figure("cameraClockS", (least + most) / 2, 100),
    cameraClockBoundS: Math.ceil(bound * 100) / 100,
  };
}
