/**
 * The eclipse room as the hub uses it, by eclipse id: the table of elements, the solver, and what
 * pictures need. Undefined everywhere when the eclipse is not in the table.
 */
import { centralPath } from "../shared/eclipse/central-path.ts";
import { type CircumstancesOptions, circumstances } from "../shared/eclipse/circumstances.ts";
import type { Circumstances, FreshCircumstances, Place } from "../shared/eclipse/circumstances-types.ts";
import type { BesselianElements } from "../shared/eclipse/elements.ts";
import { type LimbEffect, limbEffectSteps } from "../shared/eclipse/limb-effect.ts";
import { limbBelt } from "../shared/eclipse/limb-table.ts";
import { type PathDistance, pathDistance } from "../shared/eclipse/path-distance.ts";
import { skylineCrossings } from "../shared/eclipse/skyline.ts";
import { atOnce, type Steps } from "../shared/eclipse/steps.ts";
import { eclipseById } from "../shared/eclipse/table.ts";
import { type TrackPoint, track } from "../shared/eclipse/track.ts";
import type { Site } from "../shared/plan/model/plan.ts";
import { utcMs } from "../shared/time/instants.ts";

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

  circumstances(eclipse: string, place: Place, options: SolverOptions): FreshCircumstances | undefined {
    return atOnce(this.circumstancesSteps(eclipse, place, options));
  }

  /** The same in steps: the limb takes tens of milliseconds of a laptop. */
  *circumstancesSteps(
    eclipse: string,
    place: Place,
    { limb, ...options }: SolverOptions,
  ): Steps<FreshCircumstances | undefined> {
    const elements = eclipseById(eclipse);
    if (!elements) return undefined;
    const effect = limb ? yield* limbEffectSteps(limbBelt(), elements, place, options) : null;
    return circumstances(elements, place, withLimb(options, effect));
  }

  /** What leads to the contacts seen at a place: shifts, beads, profile; null without a central phase. */
  *limbSteps(eclipse: string, place: Place): Steps<LimbEffect | null | undefined> {
    const elements = eclipseById(eclipse);
    return elements && (yield* limbEffectSteps(limbBelt(), elements, place));
  }

  /** Circumstances for a site of a plan, with the moments that its skyline and the limb's beads give. */
  forSite(eclipse: string, site: Site, limb: boolean): Circumstances | undefined {
    return atOnce(this.forSiteSteps(eclipse, site, limb));
  }

  *forSiteSteps(eclipse: string, site: Site, limb: boolean): Steps<Circumstances | undefined> {
    const elements = eclipseById(eclipse);
    if (!elements) return undefined;
    const options = { placeBoundM: site.placeBoundM };
    const effect = limb ? yield* limbEffectSteps(limbBelt(), elements, site, options) : null;
    const found = circumstances(elements, site, withLimb(options, effect));
    const moments = { ...beadMoments(effect), ...skylineMoments(elements, site) };
    return Object.keys(moments).length > 0 ? { ...found, moments } : found;
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

function withLimb(options: CircumstancesOptions, effect: LimbEffect | null): CircumstancesOptions {
  return effect ? { ...options, limb: () => effect } : options;
}

type Moments = NonNullable<Circumstances["moments"]>;

/** When the limb begins to break into beads before C2, and when the last bead has grown after C3. */
function beadMoments(effect: LimbEffect | null): Moments {
  if (!effect) return {};
  const first = Math.min(...effect.beads.c2.map(({ fromUtcMs }) => fromUtcMs));
  const last = Math.max(...effect.beads.c3.map(({ toUtcMs }) => toUtcMs));
  return {
    ...(Number.isFinite(first) && { beadsC2: utcMs(first) }),
    ...(Number.isFinite(last) && { beadsC3: utcMs(last) }),
  };
}

function skylineMoments(elements: BesselianElements, site: Site): Moments {
  if (site.skyline.length === 0) return {};
  const skyline = site.skyline.map(([azimuthDeg, altitudeDeg]) => ({ azimuthDeg, altitudeDeg }));
  const { crossings } = skylineCrossings(elements, site, skyline);
  const lost = crossings.find(({ what }) => what === "lost");
  const back = crossings.find(({ what, utcMs: at }) => what === "back" && (!lost || at > lost.utcMs));
  return { ...(lost && { sunLost: lost.utcMs }), ...(back && { sunBack: back.utcMs }) };
}

function round(deg: number): number {
  return Math.round(deg * 1e4) / 1e4;
}
