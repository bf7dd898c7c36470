/**
 * What a place gets, ready to be put into words: pure, so that the sentences a lead decides by
 * can be tested. The kind is what counts for filters (shared/plan/local-eclipse.ts): a totality
 * below the horizon counts as partial, the safe side.
 */
import type {
  Circumstances,
  ContactName,
  ErrorShare,
} from "../../../../shared/eclipse/circumstances-types.ts";
import { CANON_SIZES, SUN_OF_ECLIPSES_ARCSEC } from "../../../../shared/eclipse/elements.ts";
import { type LocalEclipse, localEclipse } from "../../../../shared/plan/local-eclipse.ts";
import { type UtcMs, utcMs } from "../../../../shared/time/instants.ts";
import type { WordKey, WordValues } from "../../../words/words.ts";

export interface Sentence {
  key: WordKey;
  values?: WordValues;
}

export interface ContactLine {
  name: ContactName;
  /** With the limb's shift where one is known. */
  utcMs: UtcMs;
  limbShiftS: number | null;
  altitudeDeg: number;
  azimuthDeg: number;
  up: boolean;
}

export interface PlaceSummary {
  gets: LocalEclipse;
  headline: Sentence;
  /** What it means for filters; always said. */
  filters: Sentence;
  /** Sunrise or sunset during the eclipse. */
  remarks: (Sentence & { atUtcMs?: UtcMs })[];
  contacts: ContactLine[];
  /** Which Sun the times as seen are for; null where they are the smooth Moon's. */
  sun: Sentence | null;
  boundS: number;
  /** Largest first; those that do not matter left out. */
  shares: ErrorShare[];
}

const NAMES: readonly ContactName[] = ["c1", "c2", "max", "c3", "c4"];

export function placeSummary(circumstances: Circumstances, useLimb = true): PlaceSummary {
  const limb = useLimb ? circumstances.limb : undefined;
  const shifts: Partial<Record<ContactName, number>> = limb ? { c2: limb.c2ShiftS, c3: limb.c3ShiftS } : {};
  const gets = localEclipse(circumstances);
  const contacts = NAMES.flatMap((name): ContactLine[] => {
    const contact = circumstances.contacts[name];
    if (!contact) return [];
    const shiftS = shifts[name];
    return [
      {
        name,
        utcMs: utcMs(contact.utcMs + (shiftS ?? 0) * 1000),
        limbShiftS: shiftS ?? null,
        altitudeDeg: contact.altitudeDeg,
        azimuthDeg: contact.azimuthDeg,
        up: contact.aboveHorizon,
      },
    ];
  });
  return {
    gets,
    headline: headlineOf(circumstances, gets),
    filters: filtersOf(circumstances, gets),
    remarks: remarksOf(circumstances),
    contacts,
    sun: limb ? sunOf(circumstances) : null,
    boundS: circumstances.timingBoundS,
    shares: [...circumstances.timingShares].filter((share) => share.s >= 0.005).sort((a, b) => b.s - a.s),
  };
}

function headlineOf(circumstances: Circumstances, gets: LocalEclipse): Sentence {
  if (circumstances.kind === "none") return { key: "lead.place.none" };
  if (!circumstances.visible) return { key: "lead.place.below" };
  if (gets.kind === "total") return { key: "lead.place.total", values: { time: spanText(gets.totalityS) } };
  if (gets.kind === "annular") return { key: "lead.place.annular", values: { time: spanText(gets.ringS) } };
  if (gets.cut === "horizon") return { key: "lead.place.cutHorizon" };
  if (gets.cut === "limb") return { key: "lead.place.cutLimb" };
  return { key: "lead.place.partial", values: { percent: percentText(circumstances.obscuration) } };
}

function filtersOf(circumstances: Circumstances, gets: LocalEclipse): Sentence {
  if (circumstances.kind === "none" || !circumstances.visible) return { key: "lead.place.filters.none" };
  if (gets.kind === "total") return { key: "lead.place.filters.total" };
  if (gets.kind === "annular") return { key: "lead.place.filters.annular" };
  return { key: "lead.place.filters.partial" };
}

function sunOf(circumstances: Circumstances): Sentence {
  return {
    key: circumstances.kind === "annular" ? "lead.place.sunRing" : "lead.place.sunTotal",
    values: { seen: `${SUN_OF_ECLIPSES_ARCSEC}″`, canon: `${CANON_SIZES.solarRadiusArcsec}″` },
  };
}

function remarksOf(circumstances: Circumstances): PlaceSummary["remarks"] {
  if (!circumstances.visible) return [];
  const remarks: PlaceSummary["remarks"] = [];
  if (circumstances.sunriseUtcMs !== null)
    remarks.push({ key: "lead.place.sunrise", atUtcMs: circumstances.sunriseUtcMs });
  if (circumstances.sunsetUtcMs !== null)
    remarks.push({ key: "lead.place.sunset", atUtcMs: circumstances.sunsetUtcMs });
  return remarks;
}

/** "4 min 11 s", "38.4 s": tenths only where they are a noticeable part of it. */
export function spanText(seconds: number): string {
  if (seconds < 60) return `${seconds.toFixed(1)} s`;
  const whole = Math.round(seconds);
  return `${Math.floor(whole / 60)} min ${String(whole % 60).padStart(2, "0")} s`;
}

/** Never "100 %" of a Sun that is not wholly covered, never "0 %" of one that is touched. */
export function percentText(fraction: number): string {
  const percent = fraction * 100;
  if (percent >= 99.95 && fraction < 1) return "99.9";
  if (percent > 0 && percent < 0.05) return "0.1";
  return percent > 99 || percent < 1 ? percent.toFixed(1) : percent.toFixed(0);
}

/** A bound for reading aloud, rounded up: 0.72 → "0.8 s", 12.1 → "13 s", 190 → "4 min". */
export function boundText(seconds: number): string {
  if (!Number.isFinite(seconds)) return "∞";
  if (seconds <= 0.1) return "0.1 s";
  if (seconds < 10) return `${(Math.ceil(seconds * 10 - 1e-9) / 10).toFixed(1).replace(/\.0$/, "")} s`;
  if (seconds < 120) return `${Math.ceil(seconds - 1e-9)} s`;
  return `${Math.ceil(seconds / 60)} min`;
}

/** Signed seconds with a real minus, "+1.1 s", "−0.7 s". */
export function shiftText(seconds: number): string {
  const rounded = seconds.toFixed(1);
  if (/^-?0\.0$/.test(rounded)) return "±0.0 s";
  return `${seconds < 0 ? "−" : "+"}${rounded.replace("-", "")} s`;
}

/** One of eight directions, 0 for north, clockwise. */
export function directionOf(azimuthDeg: number): 0 | 1 | 2 | 3 | 4 | 5 | 6 | 7 {
  return (((Math.round(azimuthDeg / 45) % 8) + 8) % 8) as 0;
}
