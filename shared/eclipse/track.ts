/**
 * The eclipse minute by minute at a place, for charts: the Sun's place, how much of it is covered,
 * and how bright the sky is in words.
 */
import type { UtcMs } from "../time/instants.ts";
import { ttFromUtc } from "../time/time-scales.ts";
import { turn360 } from "./angles.ts";
import { type CircumstancesOptions, circumstances, shadowAt, utcAt } from "./circumstances.ts";
import type { Place } from "./circumstances-types.ts";
import { magnitudeOf } from "./contacts.ts";
import { type BesselianElements, MS_PER_HOUR } from "./elements.ts";
import { obscurationOf } from "./obscuration.ts";
import { parallacticAngleDeg, sunInSky } from "./shadow-at-place.ts";
import { RISEN_ALTITUDE_DEG } from "./sun.ts";

/**
 * How bright the sky is. Steps by the share of sunlight left (common practice, no source):
 * `day` over 50 %, `softened` to 20 %, `dim` to 5 %, `dusk` under 5 %, `totality`; `night` when the
 * Sun is under the horizon.
 */
type SkyBrightness = "day" | "softened" | "dim" | "dusk" | "totality" | "night";

export interface TrackPoint {
  utcMs: UtcMs;
  altitudeDeg: number;
  azimuthDeg: number;
  /** Fraction of the Sun's area covered, 0…1. */
  obscuration: number;
  /** Fraction of the Sun's diameter covered, 0…1 or a little more. */
  magnitude: number;
  /** Moon's diameter over the Sun's. */
  ratio: number;
  /** Centre of the Moon from the Sun's centre, solar radii. */
  separation: number;
  /** In which direction: degrees from celestial north through east, and the same from the zenith. */
  positionAngleDeg: number;
  positionAngleFromZenithDeg: number;
  sky: SkyBrightness;
}

interface TrackOptions extends CircumstancesOptions {
  /** Seconds between points, 1…3600; 60 by default. */
  stepS?: number;
  /** First and last instant; from C1 − 10 min to C4 + 10 min by default. */
  fromUtcMs?: UtcMs;
  toUtcMs?: UtcMs;
}

const MARGIN_MS = 600_000;
const MOST_POINTS = 20_000;

/** Empty where there is no eclipse and no span is given. Throws RangeError naming a bad field. */
export function track(elements: BesselianElements, place: Place, options: TrackOptions = {}): TrackPoint[] {
  const { stepS = 60, fromUtcMs, toUtcMs, ...rest } = options;
  if (!(stepS >= 1 && stepS <= 3600)) throw new RangeError(`stepS must be 1…3600: ${stepS}`);
  const { contacts } = circumstances(elements, place, rest);
  const from = fromUtcMs ?? (contacts.c1 && contacts.c1.utcMs - MARGIN_MS);
  const to = toUtcMs ?? (contacts.c4 && contacts.c4.utcMs + MARGIN_MS);
  if (from === null || to === null) return [];
  const count = Math.floor((to - from) / (stepS * 1000)) + 1;
  if (count > MOST_POINTS)
    throw new RangeError(`stepS: more than ${MOST_POINTS} points from ${from} to ${to}`);
  const { shadow } = shadowAt(elements, place, rest);
  return Array.from({ length: Math.max(0, count) }, (_, i) => {
    const t = (ttFromUtc((from + i * stepS * 1000) as UtcMs) - elements.t0TtMs) / MS_PER_HOUR;
    const s = shadow.at(t);
    const sky = sunInSky(shadow.observer, s);
    const obscuration = obscurationOf(s);
    const angle = (Math.atan2(s.u, s.v) * 180) / Math.PI;
    return {
      utcMs: utcAt(elements, t),
      ...sky,
      obscuration,
      magnitude: Math.max(0, magnitudeOf(s)),
      ratio: (s.l1 - s.l2) / (s.l1 + s.l2),
      separation: (2 * Math.hypot(s.u, s.v)) / (s.l1 + s.l2),
      positionAngleDeg: turn360(angle),
      positionAngleFromZenithDeg: turn360(angle - parallacticAngleDeg(shadow.observer, s)),
      sky: brightness(sky.altitudeDeg, obscuration),
    };
  });
}

function brightness(altitudeDeg: number, obscuration: number): SkyBrightness {
  if (altitudeDeg <= RISEN_ALTITUDE_DEG) return "night";
  if (obscuration >= 1) return "totality";
  const left = 1 - obscuration;
  return left > 0.5 ? "day" : left > 0.2 ? "softened" : left > 0.05 ? "dim" : "dusk";
}
