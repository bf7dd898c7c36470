/**
 * What else is seen in the dark of totality: planets and the brightest stars, where they stand at
 * maximum, and how bright. Planets by astronomy-engine, which shares no table with our elements; stars
 * by the catalogue. To a degree or so: it is to be looked for with the bare eye.
 */
import { AstroTime, Body, DefineStar, Equator, Horizon, Illumination, Observer } from "astronomy-engine";
import type { Circumstances } from "../../shared/eclipse/circumstances-types.ts";
import { ownValue } from "../../shared/fields/own-key.ts";
import type { BrightBody } from "../../shared/protocol/messages.ts";
import { BRIGHT_STARS } from "../bright-stars.ts";

const PLANETS = {
  mercury: Body.Mercury,
  venus: Body.Venus,
  mars: Body.Mars,
  jupiter: Body.Jupiter,
  saturn: Body.Saturn,
} as const satisfies Partial<Record<BrightBody["name"], Body>>;

/** Stars that boards have words for, by their names in the catalogue. */
const STARS = {
  Sirius: "sirius",
  Canopus: "canopus",
  Arcturus: "arcturus",
  Vega: "vega",
  Capella: "capella",
  Rigel: "rigel",
  Procyon: "procyon",
  Aldebaran: "aldebaran",
  Antares: "antares",
  Spica: "spica",
  Regulus: "regulus",
} as const satisfies Record<string, BrightBody["name"]>;

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
  for (const [starName, raDeg, decDeg, magnitude] of BRIGHT_STARS) {
    const name = ownValue<BrightBody["name"]>(STARS, starName);
    if (!name) continue;
    // So far away that its distance, light years, does not matter.
    DefineStar(Body.Star1, raDeg / 15, decDeg, 1000);
    look(name, Body.Star1, magnitude);
  }
  const brightest = found.sort((a, b) => a.magnitude - b.magnitude).slice(0, MOST);
  kept.set(circumstances, brightest);
  return brightest;
}
