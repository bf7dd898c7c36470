/**
 * What stands around the Sun at an instant: planets by astronomy-engine, bright stars by catalogue.
 * For drawing what a frame has in it: planets to an arcminute, stars to the aberration (20″), which is
 * left out, as proper motion since 2000 is (an arcminute at most).
 */
import {
  AstroTime,
  Body,
  Equator,
  Horizon,
  Illumination,
  Observer,
  RotateVector,
  Rotation_EQJ_EQD,
  SphereFromVector,
  Spherical,
  VectorFromSphere,
} from "astronomy-engine";
import { parallacticDeg } from "../shared/budget/frame-turn.ts";
import type { Place } from "../shared/eclipse/circumstances-types.ts";
import { sunRadiusArcsec } from "../shared/eclipse/sun.ts";
import { BRIGHT_STARS } from "./bright-stars.ts";

const PLANETS = [Body.Mercury, Body.Venus, Body.Mars, Body.Jupiter, Body.Saturn] as const;
const RAD = Math.PI / 180;

export interface BodyAround {
  name: string;
  kind: "planet" | "star";
  magnitude: number;
  /** From the Sun's centre, and in which direction from the sky's north through east, degrees. */
  separationDeg: number;
  positionAngleDeg: number;
  /** Above the horizon, refraction included, degrees. */
  altitudeDeg: number;
}

export interface SkyAround {
  sun: { raDeg: number; decDeg: number; altitudeDeg: number; azimuthDeg: number; radiusArcsec: number };
  /** Position angle of the zenith at the Sun, from north through east, degrees. */
  zenithAngleDeg: number;
  /** Those above the horizon, the brightest first. */
  bodies: BodyAround[];
}

export function skyAround(utcMs: number, place: Place): SkyAround {
  const time = new AstroTime(new Date(utcMs));
  const observer = new Observer(place.latDeg, place.lonDeg, place.heightM);
  const seenAt = (raDeg: number, decDeg: number) => Horizon(time, observer, raDeg / 15, decDeg, "normal");
  const ofBody = (body: Body) => {
    const { ra, dec } = Equator(body, time, observer, true, true);
    return { raDeg: ra * 15, decDeg: dec };
  };
  const sun = ofBody(Body.Sun);
  const bare = Horizon(time, observer, sun.raDeg / 15, sun.decDeg, "");
  const seen = seenAt(sun.raDeg, sun.decDeg);
  const turn = Rotation_EQJ_EQD(time);
  const found = [
    ...PLANETS.map((body) => ({
      name: body as string,
      kind: "planet" as const,
      magnitude: Illumination(body, time).mag,
      ...ofBody(body),
    })),
    ...BRIGHT_STARS.map(([name, raDeg, decDeg, magnitude]) => {
      const of = SphereFromVector(
        RotateVector(turn, VectorFromSphere(new Spherical(decDeg, raDeg, 1), time)),
      );
      return { name, kind: "star" as const, magnitude, raDeg: of.lon, decDeg: of.lat };
    }),
  ];
  const bodies = found
    .map(
      ({ raDeg, decDeg, ...rest }): BodyAround => ({
        ...rest,
        ...fromSun(sun, { raDeg, decDeg }),
        altitudeDeg: seenAt(raDeg, decDeg).altitude,
      }),
    )
    .filter(({ altitudeDeg }) => altitudeDeg > 0)
    .sort((a, b) => a.magnitude - b.magnitude);
  return {
    sun: {
      ...sun,
      altitudeDeg: seen.altitude,
      azimuthDeg: seen.azimuth,
      radiusArcsec: sunRadiusArcsec(utcMs),
    },
    zenithAngleDeg: parallacticDeg(place.latDeg, bare.altitude, bare.azimuth),
    bodies,
  };
}

interface OnSky {
  raDeg: number;
  decDeg: number;
}

/** Angular distance and position angle on the sphere. */
function fromSun(sun: OnSky, body: OnSky): Pick<BodyAround, "separationDeg" | "positionAngleDeg"> {
  const [d0, d] = [sun.decDeg * RAD, body.decDeg * RAD];
  const da = (body.raDeg - sun.raDeg) * RAD;
  const x = Math.cos(d0) * Math.sin(d) - Math.sin(d0) * Math.cos(d) * Math.cos(da);
  const y = Math.cos(d) * Math.sin(da);
  const z = Math.sin(d0) * Math.sin(d) + Math.cos(d0) * Math.cos(d) * Math.cos(da);
  const angle = Math.atan2(y, x) / RAD;
  return {
    separationDeg: Math.atan2(Math.hypot(x, y), z) / RAD,
    positionAngleDeg: angle < 0 ? angle + 360 : angle,
  };
}
