/**
 * The site screen's fields: text as typed, read into a site of the plan. Each field that cannot
 * be read is named with the reason; a decimal comma is taken as one.
 */
import type { Site } from "../../../../shared/plan/model/plan.ts";
import type { WordKey } from "../../../words/words.ts";
import { readNumber } from "../../shell/read-number.ts";

export interface SiteForm {
  name: string;
  lat: string;
  lon: string;
  height: string;
  placeBound: string;
  zone: string;
  /** "azimuth:altitude" pairs in degrees, e.g. "90:4 120:11". */
  skyline: string;
}

export type SiteField = keyof SiteForm;
export type SiteProblems = Partial<Record<SiteField, WordKey>>;

/** Latitude, longitude and height as far as they can be read: enough to show what a place gets. */
export interface TypedPlace {
  latDeg: number;
  lonDeg: number;
  heightM: number;
}

export const EMPTY_SITE_FORM: SiteForm = {
  name: "",
  lat: "",
  lon: "",
  height: "",
  placeBound: "50",
  zone: "",
  skyline: "",
};

export function siteForm(site: Site | null): SiteForm {
  if (!site) return EMPTY_SITE_FORM;
  return {
    name: site.name,
    lat: degreesText(site.latDeg),
    lon: degreesText(site.lonDeg),
    height: String(site.heightM),
    placeBound: String(site.placeBoundM),
    zone: site.zone,
    skyline: skylineText(site.skyline),
  };
}

/** Degrees for a field: six decimals are a tenth of a metre; no trailing zeros. */
export function degreesText(deg: number): string {
  return String(Number(deg.toFixed(6)));
}

function inRange(text: string, least: number, most: number): number | null {
  const value = readNumber(text);
  return value !== null && value >= least && value <= most ? value : null;
}

/** Null as long as latitude or longitude cannot be read; an empty height is 0. */
export function typedPlace(form: SiteForm): TypedPlace | null {
  const latDeg = inRange(form.lat, -90, 90);
  const lonDeg = inRange(form.lon, -180, 180);
  const heightM = form.height.trim() === "" ? 0 : inRange(form.height, -430, 9000);
  return latDeg === null || lonDeg === null || heightM === null ? null : { latDeg, lonDeg, heightM };
}

/** Why there is no place yet: the first of latitude, longitude and height that cannot be read. */
export function placeProblem(form: SiteForm): WordKey | null {
  const read = readSite(form);
  if (read.ok) return null;
  return read.problems.lat ?? read.problems.lon ?? read.problems.height ?? null;
}

export function readSite(form: SiteForm): { ok: true; site: Site } | { ok: false; problems: SiteProblems } {
  const problems: SiteProblems = {};
  const name = form.name.trim();
  if (name === "") problems.name = "lead.site.wrong.name";
  if (inRange(form.lat, -90, 90) === null) problems.lat = "lead.site.wrong.lat";
  if (inRange(form.lon, -180, 180) === null) problems.lon = "lead.site.wrong.lon";
  const place = typedPlace(form);
  if (form.height.trim() !== "" && inRange(form.height, -430, 9000) === null)
    problems.height = "lead.site.wrong.height";
  const placeBoundM = inRange(form.placeBound, 0, 100_000);
  if (placeBoundM === null) problems.placeBound = "lead.site.wrong.placeBound";
  const skyline = readSkyline(form.skyline);
  if (skyline === null) problems.skyline = "lead.site.wrong.skyline";
  if (place === null || placeBoundM === null || skyline === null || Object.keys(problems).length > 0)
    return { ok: false, problems };
  return { ok: true, site: { name, ...place, zone: form.zone, placeBoundM, confirmed: true, skyline } };
}

/** Pairs by azimuth; null when one cannot be read or is out of range; empty text is no skyline. */
export function readSkyline(text: string): Site["skyline"] | null {
  const pairs = text
    .split(/[\s;]+/)
    .filter((part) => part !== "")
    .map((part): [number, number] | null => {
      const [azimuth, altitude, more] = part.split(":");
      if (azimuth === undefined || altitude === undefined || more !== undefined) return null;
      const azimuthDeg = inRange(azimuth, 0, 360);
      const altitudeDeg = inRange(altitude, -5, 90);
      return azimuthDeg === null || altitudeDeg === null ? null : [azimuthDeg, altitudeDeg];
    });
  if (pairs.some((pair) => pair === null) || pairs.length > 360) return null;
  return (pairs as [number, number][]).sort((a, b) => a[0] - b[0]);
}

export function skylineText(skyline: Site["skyline"]): string {
  return skyline.map(([azimuthDeg, altitudeDeg]) => `${azimuthDeg}:${altitudeDeg}`).join(" ");
}
