/**
 * The eclipse room as the hub uses it, by eclipse id: the table of elements, the solver, and what
 * pictures need. Undefined everywhere when the eclipse is not in the table.
 */
import { centralPath } from "../shared/eclipse/central-path.ts";
import { type CircumstancesOptions, circumstances } from "../shared/eclipse/circumstances.ts";
import type { Circumstances, Place } from "../shared/eclipse/circumstances-types.ts";
import type { BesselianElements } from "../shared/eclipse/elements.ts";
import { type PathDistance, pathDistance } from "../shared/eclipse/path-distance.ts";
import { skylineCrossings } from "../shared/eclipse/skyline.ts";
import { eclipseById } from "../shared/eclipse/table.ts";
import { type TrackPoint, track } from "../shared/eclipse/track.ts";
import type { Site } from "../shared/plan/plan.ts";

export interface SolverOptions extends Omit<CircumstancesOptions, "limb"> {
  /** Whether the Moon's limb is to be looked at. */
  limb: boolean;
}

/** [longitude, latitude] in degrees, as GeoJSON (RFC 7946) orders them. */
export type Position = [number, number];

export interface PathLines {
  eclipse: string;
  centre: Position[];
  north: Position[];
  south: Position[];
  durationS: number[];
}

export class Solver {
  private readonly paths = new Map<string, PathLines>();

  elements(eclipse: string): BesselianElements | undefined {
    return eclipseById(eclipse);
  }

  circumstances(eclipse: string, place: Place, options: SolverOptions): Circumstances | undefined {
    const elements = eclipseById(eclipse);
    if (!elements) return undefined;
    const { limb: _limb, ...rest } = options;
    return circumstances(elements, place, rest);
  }

  /** The same for a site of a plan, with the moments its skyline gives. */
  forSite(eclipse: string, site: Site, limb: boolean): Circumstances | undefined {
    const found = this.circumstances(eclipse, site, { limb, placeBoundM: site.placeBoundM });
    const elements = eclipseById(eclipse);
    if (!found || !elements || site.skyline.length === 0) return found;
    const skyline = site.skyline.map(([azimuthDeg, altitudeDeg]) => ({ azimuthDeg, altitudeDeg }));
    const { crossings } = skylineCrossings(elements, site, skyline);
    const lost = crossings.find(({ what }) => what === "lost");
    const back = crossings.find(({ what, utcMs }) => what === "back" && (!lost || utcMs > lost.utcMs));
    return {
      ...found,
      moments: {
        ...found.moments,
        ...(lost && { sunLost: lost.utcMs }),
        ...(back && { sunBack: back.utcMs }),
      },
    };
  }

  track(eclipse: string, place: Place, stepS = 60): TrackPoint[] | undefined {
    const elements = eclipseById(eclipse);
    return elements && track(elements, place, { stepS });
  }

  /** Null for an eclipse that is partial everywhere. */
  distance(eclipse: string, place: Place): PathDistance | null | undefined {
    const elements = eclipseById(eclipse);
    return elements && pathDistance(elements, place);
  }

  path(eclipse: string): PathLines | undefined {
    const elements = eclipseById(eclipse);
    if (!elements) return undefined;
    const known = this.paths.get(eclipse);
    if (known) return known;
    const { centre, north, south } = centralPath(elements);
    const line = (points: readonly { latDeg: number; lonDeg: number }[]): Position[] =>
      points.map(({ latDeg, lonDeg }) => [round(lonDeg), round(latDeg)]);
    const lines: PathLines = {
      eclipse,
      centre: line(centre),
      north: line(north),
      south: line(south),
      durationS: centre.map(({ durationS }) => Math.round(durationS * 10) / 10),
    };
    this.paths.set(eclipse, lines);
    return lines;
  }
}

function round(deg: number): number {
  return Math.round(deg * 1e4) / 1e4;
}
