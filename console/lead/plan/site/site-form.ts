/**
 * The site screen's fields: text as typed, read into a site of the plan. Each field that cannot
 * be read is named with the reason; a decimal comma is taken as one.
 */
import { lengthOf } from "../../../../shared/fields/text.ts";
import { type Site, SiteSchema, SkylinePoint } from "../../../../shared/plan/model/plan.ts";
import { type FieldProblem, rangeWords, readWithin } from "../../../forms/field-range.ts";
import type { WordKey, WordValues } from "../../../words/words.ts";

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
export type SiteProblems = Partial<Record<SiteField, FieldProblem>>;

const FIELDS = SiteSchema.entries;
const [AZIMUTH, ALTITUDE] = SkylinePoint.items;
const SKYLINE_MOST = lengthOf(FIELDS.skyline);

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

/** Null as long as latitude or longitude cannot be read; an empty height is 0. */
export function typedPlace(form: SiteForm): TypedPlace | null {
  const latDeg = readWithin(FIELDS.latDeg, form.lat);
  const lonDeg = readWithin(FIELDS.lonDeg, form.lon);
  const heightM = form.height.trim() === "" ? 0 : readWithin(FIELDS.heightM, form.height);
  return latDeg === null || lonDeg === null || heightM === null ? null : { latDeg, lonDeg, heightM };
}

/** Why there is no place yet: the first of latitude, longitude and height that cannot be read. */
export function placeProblem(form: SiteForm): FieldProblem | null {
  const read = readSite(form);
  if (read.ok) return null;
  return read.problems.lat ?? read.problems.lon ?? read.problems.height ?? null;
}

export function readSite(form: SiteForm): { ok: true; site: Site } | { ok: false; problems: SiteProblems } {
  const problems: SiteProblems = {};
  const name = form.name.trim();
  const wrong = (field: keyof typeof FIELDS, key: WordKey): FieldProblem => {
    return { key, values: rangeWords(FIELDS[field]) };
  };
  if (name === "") problems.name = { key: "lead.site.wrong.name" };
  if (readWithin(FIELDS.latDeg, form.lat) === null) problems.lat = wrong("latDeg", "lead.site.wrong.lat");
  if (readWithin(FIELDS.lonDeg, form.lon) === null) problems.lon = wrong("lonDeg", "lead.site.wrong.lon");
  const place = typedPlace(form);
  if (form.height.trim() !== "" && readWithin(FIELDS.heightM, form.height) === null)
    problems.height = wrong("heightM", "lead.site.wrong.height");
  const placeBoundM = readWithin(FIELDS.placeBoundM, form.placeBound);
  if (placeBoundM === null) problems.placeBound = wrong("placeBoundM", "lead.site.wrong.placeBound");
  const skyline = readSkyline(form.skyline);
  if (skyline === null) problems.skyline = { key: "lead.site.wrong.skyline", values: skylineWords() };
  if (place === null || placeBoundM === null || skyline === null || Object.keys(problems).length > 0)
    return { ok: false, problems };
  return { ok: true, site: { name, ...place, zone: form.zone, placeBoundM, confirmed: true, skyline } };
}

function skylineWords(): WordValues {
  const azimuth = rangeWords(AZIMUTH);
  const altitude = rangeWords(ALTITUDE);
  return {
    azimuthLeast: azimuth.least,
    azimuthMost: azimuth.most,
    altitudeLeast: altitude.least,
    altitudeMost: altitude.most,
  };
}

/** Pairs by azimuth; null when one cannot be read or is out of range; empty text is no skyline. */
export function readSkyline(text: string): Site["skyline"] | null {
  const pairs = text
    .split(/[\s;]+/)
    .filter((part) => part !== "")
    .map((part): [number, number] | null => {
      const [azimuth, altitude, more] = part.split(":");
      if (azimuth === undefined || altitude === undefined || more !== undefined) return null;
      const azimuthDeg = readWithin(AZIMUTH, azimuth);
      const altitudeDeg = readWithin(ALTITUDE, altitude);
      return azimuthDeg === null || altitudeDeg === null ? null : [azimuthDeg, altitudeDeg];
    });
  if (pairs.some((pair) => pair === null) || pairs.length > SKYLINE_MOST) return null;
  return (pairs as [number, number][]).sort((a, b) => a[0] - b[0]);
}

export function skylineText(skyline: Site["skyline"]): string {
  return skyline.map(([azimuthDeg, altitudeDeg]) => `${azimuthDeg}:${altitudeDeg}`).join(" ");
}
