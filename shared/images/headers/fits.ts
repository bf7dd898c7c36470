/**
 * FITS (standard 4.0): cards of 80 characters until END. Times: DATE-BEG, DATE-OBS, DATE-AVG, DATE-END
 * (§9.5), in the scale that TIMESYS names, UTC by default (§9.2.1); old files have "dd/mm/yy" (§4.4.2.1)
 * and the time of day in a card of its own (UT, TIME-OBS: usage of old, no standard).
 */
import { utcMs } from "../../time/instants.ts";
import { ttMs, utcFromTt } from "../../time/time-scales.ts";
import { emptyHeaders, type FileHeaders, type Stamp } from "./file-headers.ts";
import type { Pieces } from "./pieces.ts";
import { isoStamp } from "./stamps.ts";

const CARD = 80;
/** 144 kB of header: more than any camera program writes. */
const MOST_CARDS = 1800;

export function isFits(pieces: Pieces): boolean {
  return pieces.size >= 2880 && pieces.text(0, 9) === "SIMPLE  =";
}

export function readFits(pieces: Pieces): FileHeaders {
  const cards = cardsOf(pieces);
  const headers = emptyHeaders("fits");
  const number = (...names: string[]): number | null => {
    for (const name of names) {
      const value = Number((cards.get(name) ?? "").replace(/[dD]/, "E") || Number.NaN);
      if (Number.isFinite(value)) return value;
    }
    return null;
  };
  headers.widthPx = number("NAXIS1");
  headers.heightPx = number("NAXIS2");
  headers.exposureS = number("XPOSURE", "EXPTIME", "EXPOSURE");
  headers.focalLengthMm = number("FOCALLEN");
  headers.iso = number("ISOSPEED");
  headers.model = cards.get("INSTRUME") || cards.get("CAMERA") || null;
  headers.stamp = beginOf(cards, headers.exposureS);
  return headers;
}

function cardsOf(pieces: Pieces): Map<string, string> {
  const cards = new Map<string, string>();
  for (let n = 0; n < MOST_CARDS && (n + 1) * CARD <= pieces.size; n++) {
    const card = pieces.text(n * CARD, CARD);
    const name = card.slice(0, 8).trim();
    if (name === "END") break;
    if (card.slice(8, 10) !== "= " || cards.has(name)) continue;
    cards.set(name, cardValue(card.slice(10)));
  }
  return cards;
}

/** A quoted text with '' for a quote, or what stands before the comment. */
function cardValue(text: string): string {
  const quoted = /^\s*'((?:[^']|'')*)'/.exec(text);
  if (quoted) return (quoted[1] ?? "").replaceAll("''", "'").trimEnd();
  return (text.split("/")[0] ?? "").trim();
}

function beginOf(cards: ReadonlyMap<string, string>, exposureS: number | null): Stamp | null {
  const scale = cards.get("TIMESYS")?.trim().toUpperCase() || "UTC";
  const from = (name: string, laterS: number): Stamp | null => {
    const text = cards.get(name);
    if (!text) return null;
    const stamp = isoStamp(name, dated(text, cards));
    if (!stamp) return null;
    const utc = toUtc(stamp.localMs - laterS * 1000, scale);
    const shown = scale === "UTC" ? text : `${text} ${scale}`;
    return { ...stamp, text: shown, localMs: utc ?? stamp.localMs, offsetMin: utc === null ? null : 0 };
  };
  return (
    from("DATE-BEG", 0) ??
    from("DATE-OBS", 0) ??
    (exposureS === null ? null : (from("DATE-AVG", exposureS / 2) ?? from("DATE-END", exposureS)))
  );
}

/**
 * A date alone gets its time of day from another card. The old form is of 1900 to 1999 by the standard;
 * programs that write it still mean their own time, so that what would be before 1970 is of this century.
 */
function dated(text: string, cards: ReadonlyMap<string, string>): string {
  const old = /^(\d\d)\/(\d\d)\/(\d\d)$/.exec(text.trim());
  const date = old ? `${Number(old[3]) < 70 ? 20 : 19}${old[3]}-${old[2]}-${old[1]}` : text.trim();
  if (date.includes("T")) return date;
  const time = (cards.get("TIME-OBS") || cards.get("UT") || cards.get("UTC-OBS") || "").trim();
  return /^\d\d:\d\d:\d\d(\.\d*)?$/.test(time) ? `${date}T${time.replace(/\.$/, "")}` : date;
}

/** TT and its like are ahead of UTC; null for scales that belong to no clock on Earth. */
function toUtc(ms: number, scale: string): number | null {
  switch (scale) {
    case "UTC":
    case "UT":
    case "UT1":
    case "GMT":
      return utcMs(ms);
    case "TT":
    case "ET":
    case "TDT":
    case "TDB":
      return utcFromTt(ttMs(ms));
    case "TAI":
    case "IAT":
      return utcFromTt(ttMs(ms + 32_184));
    case "GPS":
      return utcFromTt(ttMs(ms + 32_184 + 19_000));
    default:
      return null;
  }
}
