/**
 * When the Sun goes behind a skyline and comes back: "Sun lost" and "Sun back" are instants that
 * cues can anchor on. The skyline is altitude by azimuth as seen from the site, straight between
 * its points and joined across north. What counts is the Sun's upper limb, lifted by refraction:
 * the last sliver lost, the first sliver back. Safety follows the first sliver.
 */
import type { UtcMs } from "../time/instants.ts";
import { ttFromUtc } from "../time/time-scales.ts";
import { type CircumstancesOptions, circumstances, shadowAt, utcAt } from "./circumstances.ts";
import type { Place } from "./circumstances-types.ts";
import { type BesselianElements, MS_PER_HOUR } from "./elements.ts";
import { zeroBetween } from "./roots.ts";
import { sunInSky } from "./shadow-at-place.ts";
import { refractionDeg, SUN_RADIUS_DEG } from "./sun.ts";

interface SkylinePoint {
  /** 0…360 from north through east. */
  azimuthDeg: number;
  /** −10…90, as measured at the site (refraction in it, as an instrument sees it). */
  altitudeDeg: number;
}

interface SkylineCrossing {
  what: "lost" | "back";
  utcMs: UtcMs;
  azimuthDeg: number;
  /** Apparent altitude of the skyline there, degrees. */
  altitudeDeg: number;
}

interface SkylineOptions extends CircumstancesOptions {
  /** First and last instant; from 30 min before C1 to 30 min after C4 by default. */
  fromUtcMs?: UtcMs;
  toUtcMs?: UtcMs;
}

const MARGIN_MS = 1_800_000;
const STEP_H = 1 / 60;
const TOLERANCE_H = 1e-7;

/**
 * All crossings in order of time; `visibleAtStart` tells the state before the first. An empty
 * skyline is the flat sea horizon. Throws RangeError naming a bad field.
 */
export function skylineCrossings(
  elements: BesselianElements,
  place: Place,
  skyline: readonly SkylinePoint[],
  options: SkylineOptions = {},
): { visibleAtStart: boolean; crossings: SkylineCrossing[] } {
  const { fromUtcMs, toUtcMs, ...rest } = options;
  const { contacts } = circumstances(elements, place, rest);
  const from = fromUtcMs ?? (contacts.c1 && contacts.c1.utcMs - MARGIN_MS);
  const to = toUtcMs ?? (contacts.c4 && contacts.c4.utcMs + MARGIN_MS);
  if (from === null || to === null) return { visibleAtStart: false, crossings: [] };
  if (to - from > 86_400_000) throw new RangeError("toUtcMs must be within a day of fromUtcMs");
  const top = skylineAltitude(skyline);
  const { shadow } = shadowAt(elements, place, rest);
  const hours = (at: number) => (ttFromUtc(at as UtcMs) - elements.t0TtMs) / MS_PER_HOUR;
  const clearance = (t: number) => {
    const { altitudeDeg, azimuthDeg } = sunInSky(shadow.observer, shadow.at(t));
    const limb = altitudeDeg + SUN_RADIUS_DEG;
    return limb + refractionDeg(limb) - top(azimuthDeg);
  };
  const crossings: SkylineCrossing[] = [];
  const [first, last] = [hours(from), hours(to)];
  const steps = Math.max(1, Math.ceil((last - first) / STEP_H));
  for (let i = 0; i < steps; i++) {
    const [a, b] = [first + ((last - first) * i) / steps, first + ((last - first) * (i + 1)) / steps];
    if (clearance(a) > 0 === clearance(b) > 0) continue;
    const t = zeroBetween(clearance, a, b, TOLERANCE_H);
    const { azimuthDeg } = sunInSky(shadow.observer, shadow.at(t));
    crossings.push({
      what: clearance(b) > 0 ? "back" : "lost",
      utcMs: utcAt(elements, t),
      azimuthDeg,
      altitudeDeg: top(azimuthDeg),
    });
  }
  return { visibleAtStart: clearance(first) > 0, crossings };
}

/** The skyline as a function of azimuth, degrees; 0 for an empty one. */
export function skylineAltitude(skyline: readonly SkylinePoint[]): (azimuthDeg: number) => number {
  skyline.forEach((p, i) => {
    if (!(p.azimuthDeg >= 0 && p.azimuthDeg <= 360))
      throw new RangeError(`skyline[${i}].azimuthDeg must be 0…360: ${p.azimuthDeg}`);
    if (!(p.altitudeDeg >= -10 && p.altitudeDeg <= 90))
      throw new RangeError(`skyline[${i}].altitudeDeg must be −10…90: ${p.altitudeDeg}`);
  });
  const sorted = [...skyline].sort((a, b) => a.azimuthDeg - b.azimuthDeg);
  const [first, last] = [sorted[0], sorted[sorted.length - 1]];
  if (!first || !last) return () => 0;
  const around = [
    { ...last, azimuthDeg: last.azimuthDeg - 360 },
    ...sorted,
    { ...first, azimuthDeg: first.azimuthDeg + 360 },
  ];
  return (azimuthDeg) => {
    const i = around.findIndex((p) => p.azimuthDeg >= azimuthDeg);
    const [a, b] = [around[i - 1] ?? around[0], around[i] ?? around[0]];
    if (!a || !b) return 0;
    const span = b.azimuthDeg - a.azimuthDeg;
    return span <= 0
      ? b.altitudeDeg
      : a.altitudeDeg + ((b.altitudeDeg - a.altitudeDeg) * (azimuthDeg - a.azimuthDeg)) / span;
  };
}
