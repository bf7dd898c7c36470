/** What pictures of a place and an eclipse are drawn from. Open to anyone. */
import * as v from "valibot";
import { isoUtc } from "../../shared/time/iso.ts";
import { skyAround } from "../sky-around.ts";
import type { HubParts } from "./hub-parts.ts";
import { east, tooMany, unknownEclipse } from "./open-routes.ts";
import { PathQuery, PlaceQuery, TrackQuery } from "./queries.ts";
import { type Route, route } from "./route.ts";
import { said } from "./said.ts";

const SkyAnswer = v.object({
  utc: said(v.nullable(v.string()), "Of maximum; null where there is no eclipse"),
  sky: v.nullable(
    v.object({
      sun: v.object({
        raDeg: v.number(),
        decDeg: v.number(),
        altitudeDeg: v.number(),
        azimuthDeg: v.number(),
        radiusArcsec: v.number(),
      }),
      zenithAngleDeg: said(v.number(), "Position angle of the zenith at the Sun"),
      bodies: v.array(
        v.object({
          name: v.string(),
          kind: v.picklist(["planet", "star"]),
          magnitude: v.number(),
          separationDeg: v.number(),
          positionAngleDeg: v.number(),
          altitudeDeg: v.number(),
        }),
      ),
    }),
  ),
});

export function chartRoutes({ solver, queue }: HubParts): Route[] {
  return [
    route({
      method: "get",
      path: "/api/track",
      access: "anyone",
      summary: "The Sun minute by minute around the eclipse at a place; covered is the fraction of its area.",
      query: TrackQuery,
      handle: ({ query }) => {
        const place = { latDeg: query.lat, lonDeg: east(query.lon), heightM: query.height };
        const points = solver.track(query.eclipse, place, query.step);
        if (!points) return unknownEclipse(query.eclipse);
        return { body: { points: points.map((point) => ({ ...point, covered: point.obscuration })) } };
      },
    }),
    route({
      method: "get",
      path: "/api/path",
      access: "anyone",
      summary: "Central line and edges of an eclipse's path, as [longitude, latitude] in degrees.",
      query: PathQuery,
      handle: ({ query }) => {
        const path = solver.path(query.eclipse);
        return path ? { body: path } : unknownEclipse(query.eclipse);
      },
    }),
    route({
      method: "get",
      path: "/api/limb",
      access: "anyone",
      summary:
        "From C2 and C3 of the smooth Moon and the canon's Sun to those seen at a place: shifts, beads (angle, from, to), profile of the Moon's limb. The Sun is that of eclipses (959.95″).",
      query: PlaceQuery,
      handle: async ({ query, request }) => {
        const place = { latDeg: query.lat, lonDeg: east(query.lon), heightM: query.height };
        const key = JSON.stringify(["limb", query.eclipse, place]);
        const work = () => solver.limbSteps(query.eclipse, place);
        const done = await queue.work(request.ip ?? "", key, work);
        if (!done) return tooMany();
        const limb = done.result;
        if (limb === undefined) return unknownEclipse(query.eclipse);
        if (limb === null) return { body: { limb } };
        const heightKm = Array.from(limb.profile.heightKm, (km) => Math.round(km * 1000) / 1000);
        return { body: { limb: { ...limb, profile: { ...limb.profile, heightKm } } } };
      },
    }),
    route({
      method: "get",
      path: "/api/sky",
      access: "anyone",
      summary:
        "Planets and bright stars around the Sun at maximum as seen from a place: distance and position angle from the Sun's centre, magnitude. Planets by astronomy-engine, stars of the IAU Catalog of Star Names.",
      query: PlaceQuery,
      answers: SkyAnswer,
      handle: async ({ query, request }) => {
        const place = { latDeg: query.lat, lonDeg: east(query.lon), heightM: query.height };
        const found = solver.circumstances(query.eclipse, place, { limb: false });
        if (!found) return unknownEclipse(query.eclipse);
        const at = found.contacts.max?.utcMs ?? null;
        if (at === null) return { body: { utc: null, sky: null } };
        const key = JSON.stringify(["sky", query.eclipse, place]);
        const work = function* () {
          yield;
          return skyAround(at, place);
        };
        const done = await queue.work(request.ip ?? "", key, work);
        return done ? { body: { utc: isoUtc(at), sky: done.result } } : tooMany();
      },
    }),
    route({
      method: "get",
      path: "/api/path-distance",
      access: "anyone",
      summary: "How a place lies to the path: to the central line, to the nearest edge, what 1 km gains.",
      query: PlaceQuery,
      handle: ({ query }) => {
        const place = { latDeg: query.lat, lonDeg: east(query.lon), heightM: query.height };
        const distance = solver.distance(query.eclipse, place);
        return distance === undefined ? unknownEclipse(query.eclipse) : { body: { distance } };
      },
    }),
  ];
}
