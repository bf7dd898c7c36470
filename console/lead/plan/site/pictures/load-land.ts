/** Land of the Earth, fetched when a map is first shown: a coarse one, and a finer one near by. */
import type { MultiPolygon, Polygon } from "geojson";
import { feature } from "topojson-client";
import type { GeometryCollection, Topology } from "topojson-specification";

export type Land =
  | Polygon
  | MultiPolygon
  | { type: "GeometryCollection"; geometries: (Polygon | MultiPolygon)[] };

type LandTopology = Topology<{ land: GeometryCollection }>;

const loaders = {
  coarse: () => import("world-atlas/land-110m.json"),
  fine: () => import("world-atlas/land-50m.json"),
};
const loaded = new Map<keyof typeof loaders, Promise<Land>>();

export function loadLand(scale: keyof typeof loaders): Promise<Land> {
  let land = loaded.get(scale);
  if (!land) {
    land = loaders[scale]().then((module) => {
      const topology = module.default as unknown as LandTopology;
      const features = feature(topology, topology.objects.land).features;
      return {
        type: "GeometryCollection",
        geometries: features.map((one) => one.geometry as Polygon | MultiPolygon),
      };
    });
    loaded.set(scale, land);
  }
  return land;
}
