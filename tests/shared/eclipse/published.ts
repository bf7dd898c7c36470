/** The published figures the tests check against, read from tests/fixtures/eclipse (credits inside). */
import { readFileSync } from "node:fs";
import type { BesselianElements } from "../../../shared/eclipse/elements.ts";
import type { UtcMs } from "../../../shared/time/instants.ts";
import { ttFromUtc, ttMs } from "../../../shared/time/time-scales.ts";

function fixture<T>(name: string): T {
  return JSON.parse(
    readFileSync(new URL(`../../fixtures/eclipse/${name}.json`, import.meta.url), "utf8"),
  ) as T;
}

export interface PublishedElements {
  date: string;
  jd_ge_tt: number;
  t0_tt_hours: number;
  deltaT_s: number;
  x: number[];
  y: number[];
  d_deg: number[];
  mu_deg: number[];
  l1: number[];
  l2: number[];
  tanf1: number;
  tanf2: number;
}

export interface PublishedRow {
  source: "RP1369" | "TP211618" | "USNO" | "RP1398";
  eclipse: string;
  place: string;
  lat_deg: number;
  lon_east_deg: number;
  height_m: number | null;
  kind: "partial" | "annular" | "total";
  c1: string | null;
  c2: string | null;
  max: string | null;
  c3: string | null;
  c4: string | null;
  alt_deg: Partial<Record<"c1" | "c2" | "max" | "c3" | "c4", number>>;
  az_max_deg: number | null;
  magnitude: number;
  obscuration: number;
  central_duration_s: number | null;
  best_fit_deltaT_s_with_canon_elements?: number;
}

export interface PublishedPath {
  eclipse: string;
  kind: string;
  deltaT_s: number;
  rows: {
    ut: string;
    north: [number, number];
    south: [number, number];
    centre: [number, number];
    ratio: number;
    sun_alt_deg: number;
    sun_az_deg: number;
    width_km: number;
    duration_s: number;
  }[];
}

/** Five Millennium Canon of Solar Eclipses, NASA/TP-2006-214141 (Espenak and Meeus). */
export const publishedElements = fixture<{ elements: PublishedElements[] }>("published-elements").elements;
/** NASA bulletins RP 1369, RP 1398, TP-2002-211618 and USNO: see the fixture. */
export const publishedRows = fixture<{ rows: PublishedRow[] }>("published-local-circumstances").rows;
/** NASA/GSFC "Path of the Solar Eclipse" tables of 2017 and 2024. */
export const publishedPaths = fixture<{ paths: PublishedPath[] }>("published-paths").paths;

const UNIX_JD = 2_440_587.5;

/** Published elements in our form; t0 is the whole hour nearest greatest eclipse. */
export function canonElements(e: PublishedElements): BesselianElements {
  const greatestMs = Math.round((e.jd_ge_tt - UNIX_JD) * 86_400_000);
  const dayMs = Math.floor(greatestMs / 86_400_000) * 86_400_000;
  const candidates = [-1, 0, 1].map((day) => dayMs + day * 86_400_000 + e.t0_tt_hours * 3_600_000);
  const t0 = candidates.reduce((a, b) => (Math.abs(a - greatestMs) <= Math.abs(b - greatestMs) ? a : b));
  return {
    id: e.date,
    kind: "partial",
    t0TtMs: ttMs(t0),
    greatestTtMs: ttMs(greatestMs),
    deltaTS: e.deltaT_s,
    x: e.x,
    y: e.y,
    dDeg: e.d_deg,
    muDeg: e.mu_deg,
    l1: e.l1,
    l2: e.l2,
    tanF1: e.tanf1,
    tanF2: e.tanf2,
  };
}

/** Published elements by date; throws when the fixture lacks it. */
export function canonById(date: string): BesselianElements {
  const found = publishedElements.find((e) => e.date === date);
  if (!found) throw new Error(`no published elements for ${date}`);
  return canonElements(found);
}

/** Seconds by which an instant differs from a printed UT "HH:MM:SS.s", UT being TT − ΔT. */
export function secondsFromPrinted(at: UtcMs, printedUt: string, deltaTS: number): number {
  const [h = 0, m = 0, s = 0] = printedUt.split(":").map(Number);
  const ut = ttFromUtc(at) / 1000 - deltaTS;
  const difference = (((ut - (h * 3600 + m * 60 + s)) % 86_400) + 86_400) % 86_400;
  return difference > 43_200 ? difference - 86_400 : difference;
}
