/** What pictures of a place and an eclipse are drawn from. Open to anyone. */
import type { HubParts } from "./hub-parts.ts";
import { east, tooMany, unknownEclipse } from "./open-routes.ts";
import { PathQuery, PlaceQuery, TrackQuery } from "./queries.ts";
import { type Route, route } from "./route.ts";

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
