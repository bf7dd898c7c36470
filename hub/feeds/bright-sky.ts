/**
 * What else is seen in the dark of totality: planets and the brightest stars, where they stand at
 * maximum, and how bright. Planets by astronomy-engine, which shares no table with our elements; stars
 * by the catalogue. To a degree or so: it is to be looked for with the bare eye. Only what stands clear
 * of the horizon, and of the hills where the plan has a skyline.
 */
import {
  AngleBetween,
  AstroTime,
  Body,
  DefineStar,
  Equator,
  Horizon,
  Illumination,
  Observer,
  type Vector,
} from "astronomy-engine";
import type { Circumstances } from "../../shared/eclipse/circumstances-types.ts";
import { skylineAltitude } from "../../shared/eclipse/skyline.ts";
import { ownValue } from "../../shared/fields/own-key.ts";
import { localEclipse } from "../../shared/plan/local-eclipse.ts";
import type { Site } from "../../shared/plan/model/plan.ts";
import type { BrightBody } from "../../shared/protocol/messages.ts";
import { BRIGHT_STARS } from "../bright-stars.ts";

const PLANETS = {
  mercury: Body.Mercury,
  venus: Body.Venus,
  mars: Body.Mars,
  jupiter: Body.Jupiter,
  saturn: Body.Saturn,
} as const satisfies Partial<Record<BrightBody["name"], Body>>;

/** Stars that boards have words for, by their names in the catalogue: all of the first magnitude. */
const STARS = {
  Sirius: "sirius",
  Canopus: "canopus",
  Arcturus: "arcturus",
  "Rigil Kentaurus": "alphaCentauri",
  Vega: "vega",
  Capella: "capella",
  Rigel: "rigel",
  Procyon: "procyon",
  Achernar: "achernar",
  Betelgeuse: "betelgeuse",
  Hadar: "hadar",
  Altair: "altair",
  Aldebaran: "aldebaran",
  Spica: "spica",
  Antares: "antares",
  Pollux: "pollux",
  Fomalhaut: "fomalhaut",
  Deneb: "deneb",
  Acrux: "acrux",
  Regulus: "regulus",
} as const satisfies Record<string, BrightBody["name"]>;

/** Lower ones are lost in the glow all around the horizon, degrees. Common practice, no source. */
const LEAST_ALTITUDE_DEG = 5;
/** So far above a hill they are seen from all over the field, degrees. Common practice, no source. */
const CLEAR_OF_HILLS_DEG = 1;
/** Nearer to the Sun's middle they stand in the brightest corona, or behind the Moon, degrees. Common practice, no source. */
const LEAST_FROM_SUN_DEG = 1;
/** Fainter ones do not show in the twilight of totality. Common practice, no source. */
const FAINTEST = 1.5;
const MOST = 5;

const kept = new WeakMap<Circumstances, { site: BrightSkySite; bodies: readonly BrightBody[] }>();

type BrightSkySite = Pick<Site, "latDeg" | "lonDeg" | "heightM"> & Partial<Pick<Site, "skyline">>;

/** Brightest first; empty where no totality is seen. Computed once for what a site gets. */
export function brightSky(
  circumstances: Circumstances | null,
  site: BrightSkySite | null,
): readonly BrightBody[] {
  const max = circumstances?.contacts.max;
  if (!circumstances || !max || !site || localEclipse(circumstances).kind !== "total") return [];
  const known = kept.get(circumstances);
  if (known?.site === site) return known.bodies;
  const time = new AstroTime(new Date(max.utcMs));
  const observer = new Observer(site.latDeg, site.lonDeg, site.heightM);
  const hillDeg = skylineAltitude(
    (site.skyline ?? []).map(([azimuthDeg, altitudeDeg]) => ({ azimuthDeg, altitudeDeg })),
  );
  const places = (body: Body): { altitude: number; azimuth: number; vec: Vector } => {
    const { ra, dec, vec } = Equator(body, time, observer, true, true);
    return { ...Horizon(time, observer, ra, dec, "normal"), vec };
  };
  const sun = places(Body.Sun);
  const found: BrightBody[] = [];
  const look = (name: BrightBody["name"], body: Body, magnitude: number): void => {
    const { altitude, azimuth, vec } = places(body);
    const sunDeg = AngleBetween(vec, sun.vec);
    const hiddenDeg = Math.max(LEAST_ALTITUDE_DEG, hillDeg(azimuth) + CLEAR_OF_HILLS_DEG);
    if (altitude < hiddenDeg || magnitude > FAINTEST || sunDeg < LEAST_FROM_SUN_DEG) return;
    found.push({
      name,
      altitudeDeg: Math.round(altitude),
      azimuthDeg: Math.round(azimuth) % 360,
      magnitude,
      sunDeg: Math.round(sunDeg),
    });
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
  const bodies = found.sort((a, b) => a.magnitude - b.magnitude).slice(0, MOST);
  kept.set(circumstances, { site, bodies });
  return bodies;
}
