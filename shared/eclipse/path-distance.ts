/**
 * How a site lies to the central path: kilometres to the central line and to the nearest edge, and
 * what moving toward the line gains. Distances along the ground at the site's own height: with a
 * low Sun the path on a mountain is not the path at sea level. Arcs as in ground-distance.ts.
 */

import { MARGIN_H, PathGeometry, type PathOptions } from "./central-path.ts";
import { circumstances } from "./circumstances.ts";
import type { Place } from "./circumstances-types.ts";
import type { BesselianElements } from "./elements.ts";
import { going } from "./going.ts";
import { groundKm } from "./ground-distance.ts";
import type { GroundPoint } from "./shadow-on-earth.ts";

const RAD = Math.PI / 180;
const SCAN_STEPS = 90;

interface Toward {
  km: number;
  /** Direction to go, degrees from north through east. */
  bearingDeg: number;
  latDeg: number;
  lonDeg: number;
}

export interface PathDistance {
  /** Whether the site is inside the path (total or annular there). */
  inside: boolean;
  /** Nearest point of the central line; null where the axis misses the Earth. */
  centralLine: Toward | null;
  /** Nearest point of the nearer edge and which it is; null when no edge is on the ground. */
  edge: (Toward & { side: "north" | "south" }) | null;
  /** Seconds of central phase gained by going 1 km toward the central line; 0 outside the path. */
  gainSPerKm: number;
}

/** Null for an eclipse without a central path anywhere. */
export function pathDistance(
  elements: BesselianElements,
  place: Place,
  options: PathOptions = {},
): PathDistance | null {
  const geometry = new PathGeometry(elements, { ...options, heightM: place.heightM });
  const hours = geometry.axisHours();
  const middle = hours ? (hours.from + hours.to) / 2 : geometry.greatestH;
  const half = (hours ? (hours.to - hours.from) / 2 : 0.6) + MARGIN_H;
  const line = hours ? nearest(place, hours.from, hours.to, (t) => geometry.axisGround(t)) : null;
  const north = nearest(place, middle - half, middle + half, (t) => geometry.limitAt(t, 1));
  const south = nearest(place, middle - half, middle + half, (t) => geometry.limitAt(t, -1));
  if (!line && !north && !south) return null;
  const nearerNorth = north !== null && (south === null || north.km <= south.km);
  const edge = nearerNorth
    ? { ...north, side: "north" as const }
    : south && { ...south, side: "south" as const };
  const here = circumstances(elements, place, sizesOf(options));
  const inside = here.kind === "total" || here.kind === "annular";
  let gainSPerKm = 0;
  if (inside && line) {
    const step = Math.min(1, line.km);
    const moved = circumstances(
      elements,
      { ...going(place, line.bearingDeg, step), heightM: place.heightM },
      sizesOf(options),
    );
    gainSPerKm = step > 0 ? (moved.durationS - here.durationS) / step : 0;
  }
  return { inside, centralLine: line, edge, gainSPerKm };
}

function sizesOf({ points: _, heightM: __, ...sizes }: PathOptions) {
  return sizes;
}

/** The nearest point of a curve given over hours: scanned, then narrowed by thirds. */
function nearest(
  place: Place,
  from: number,
  to: number,
  curve: (t: number) => GroundPoint | null,
): Toward | null {
  const km = (t: number) => {
    const p = curve(t);
    return p ? groundKm(place, p) : Number.POSITIVE_INFINITY;
  };
  let best = from;
  let bestKm = Number.POSITIVE_INFINITY;
  const step = (to - from) / SCAN_STEPS;
  for (let i = 0; i <= SCAN_STEPS; i++) {
    const at = km(from + i * step);
    if (at < bestKm) [best, bestKm] = [from + i * step, at];
  }
  if (!Number.isFinite(bestKm)) return null;
  let [lo, hi] = [Math.max(from, best - step), Math.min(to, best + step)];
  for (let i = 0; i < 24; i++) {
    const [a, b] = [lo + (hi - lo) / 3, hi - (hi - lo) / 3];
    if (km(a) < km(b)) hi = b;
    else lo = a;
  }
  const middle = (lo + hi) / 2;
  const at = km(middle) <= bestKm ? middle : best;
  const point = curve(at) as GroundPoint;
  return { km: groundKm(place, point), bearingDeg: bearingDeg(place, point), ...point };
}

function bearingDeg(a: GroundPoint, b: GroundPoint): number {
  const [p, q, l] = [a.latDeg * RAD, b.latDeg * RAD, (b.lonDeg - a.lonDeg) * RAD];
  const east = Math.sin(l) * Math.cos(q);
  const north = Math.cos(p) * Math.sin(q) - Math.sin(p) * Math.cos(q) * Math.cos(l);
  return (Math.atan2(east, north) / RAD + 360) % 360;
}
