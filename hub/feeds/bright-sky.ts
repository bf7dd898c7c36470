/**
 * What else is seen in the dark of totality: planets and the brightest stars, where they stand at
 * maximum, and how bright. Planets by astronomy-engine, which shares no table with our elements; stars
 * from the positions below. To a degree or so: it is to be looked for with the bare eye.
 */
import { AstroTime, Body, DefineStar, Equator, Horizon, Illumination, Observer } from "astronomy-engine";
import type { Circumstances } from "../../shared/eclipse/circumstances-types.ts";
import type { BrightBody } from "../../shared/protocol/messages.ts";

const PLANETS = {
  mercury: Body.Mercury,
  venus: Body.Venus,
  mars: Body.Mars,
  jupiter: Body.Jupiter,
  saturn: Body.Saturn,
} as const satisfies Partial<Record<BrightBody["name"], Body>>;

/** Right ascension, hours; declination, degrees (J2000, Hipparcos catalogue, from memory); magnitude. */
const STARS = {
  sirius: [6.7525, -16.7161, -1.5],
  canopus: [6.3992, -52.6957, -0.7],
  arcturus: [14.261, 19.1825, -0.1],
  vega: [18.6156, 38.7837, 0],
  capella: [5.2782, 45.998, 0.1],
  rigel: [5.2423, -8.2016, 0.1],
  procyon: [7.655, 5.225, 0.4],
  aldebaran: [4.5987, 16.5093, 0.9],
  antares: [16.4901, -26.432, 1],
  spica: [13.4199, -11.1613, 1],
  regulus: [10.1395, 11.9672, 1.4],
} as const satisfies Partial<Record<BrightBody["name"], readonly [number, number, number]>>;

/** Lower ones are lost in the glow all around the horizon, degrees. Common practice, no source. */
const LEAST_ALTITUDE_DEG = 5;
/** Fainter ones do not show in the twilight of totality. Common practice, no source. */
const FAINTEST = 1.5;
const MOST = 5;

const kept = new WeakMap<Circumstances, readonly BrightBody[]>();

/** Brightest first; empty where there is no totality. Computed once for what a site gets. */
export function brightSky(
  circumstances: Circumstances | null,
  site: { latDeg: number; lonDeg: number; heightM: number } | null,
): readonly BrightBody[] {
  const max = circumstances?.contacts.max;
  if (!circumstances || !max || !site || circumstances.kind !== "total") return [];
  const known = kept.get(circumstances);
  if (known) return known;
  const time = new AstroTime(new Date(max.utcMs));
  const observer = new Observer(site.latDeg, site.lonDeg, site.heightM);
  const found: BrightBody[] = [];
  const look = (name: BrightBody["name"], body: Body, magnitude: number): void => {
    const { ra, dec } = Equator(body, time, observer, true, true);
    const { altitude, azimuth } = Horizon(time, observer, ra, dec, "normal");
    if (altitude < LEAST_ALTITUDE_DEG || magnitude > FAINTEST) return;
    found.push({ name, altitudeDeg: Math.round(altitude), azimuthDeg: Math.round(azimuth), magnitude });
  };
  for (const [name, body] of Object.entries(PLANETS) as [BrightBody["name"], Body][])
    look(name, body, Math.round(Illumination(body, time).mag * 10) / 10);
  for (const [name, [ra, dec, magnitude]] of Object.entries(STARS) as [
    BrightBody["name"],
    readonly [number, number, number],
  ][]) {
    // So far away that its distance, light years, does not matter.
    DefineStar(Body.Star1, ra, dec, 1000);
    look(name, Body.Star1, magnitude);
  }
  const brightest = found.sort((a, b) => a.magnitude - b.magnitude).slice(0, MOST);
  kept.set(circumstances, brightest);
  return brightest;
}
