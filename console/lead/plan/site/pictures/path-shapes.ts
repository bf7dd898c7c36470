/** The path as shapes for a map: its lines, the band between its edges, and a round scale. */
import { geoArea } from "d3-geo";
import type { LineString, Polygon } from "geojson";
import type { EclipsePath, LonLat } from "./picture-data.ts";

export function pathLine(points: readonly LonLat[]): LineString {
  return { type: "LineString", coordinates: points as LonLat[] };
}

/** The band between both edges; null where the path has only one, or none. */
export function pathBand(path: Pick<EclipsePath, "north" | "south">): Polygon | null {
  const { north, south } = path;
  const [first] = north;
  if (north.length < 2 || south.length < 2 || !first) return null;
  const ring = [...north, ...[...south].reverse(), first];
  const band: Polygon = { type: "Polygon", coordinates: [ring] };
  // On the sphere the order of a ring says which side is inside: a path is never half the Earth.
  return geoArea(band) <= 2 * Math.PI ? band : { type: "Polygon", coordinates: [ring.reverse()] };
}

/** The largest of 1, 2 or 5 times a power of ten that is not longer than `mostKm`. */
export function niceScaleKm(mostKm: number): number {
  if (!(mostKm > 0)) return 0;
  const power = 10 ** Math.floor(Math.log10(mostKm));
  return ([5, 2, 1].find((one) => one * power <= mostKm) ?? 1) * power;
}
