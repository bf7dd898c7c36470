/**
 * The Moon's outline as one place sees it at one moment: height above the smooth Moon by position
 * angle. For each angle the terrain along the line of sight is searched from the near side over
 * the limb to the far side; what stands out most in perspective is the outline.
 *
 * Neglected: terrain finer than the belt's 7.6 km, the 0.1° by which a plane of the sky at the Moon
 * differs from the fundamental plane.
 */
import { type TtMs, ttMs } from "../time/time-scales.ts";
import { type BesselianElements, CANON_SIZES, EARTH_RADIUS_KM, MS_PER_HOUR, polynomial } from "./elements.ts";
import { BELT_REFERENCE_KM, type LimbBelt } from "./limb-belt.ts";
import { moonAxes, type Vector } from "./moon-orientation.ts";
import type { ShadowAtPlace } from "./shadow-at-place.ts";
import { atOnce, type Steps } from "./steps.ts";

const RAD = Math.PI / 180;
export const PROFILE_STEP_DEG = 0.25;
export const PROFILE_POINTS = 360 / PROFILE_STEP_DEG;
/** Mountains 10 km higher than the limb before them show from 6° behind it. */
const SEARCH_DEG = 6;
const SEARCH_STEP_DEG = 0.125;
/** A millisecond or two on a laptop. */
const POINTS_A_STEP = 120;
const J2000_MS = 946_728_000_000;

/** Which side of the Moon a place sees. */
interface MoonFace {
  /** The point of the Moon in the middle of the disc, degrees: libration with parallax. */
  librationLonDeg: number;
  librationLatDeg: number;
  /** Position angle of the Moon's north pole, degrees. */
  axisAngleDeg: number;
  distanceKm: number;
}

export interface LimbProfile extends MoonFace {
  /** Height above the smooth Moon of radius `radiusKm`, km, every PROFILE_STEP_DEG from celestial north through east. */
  heightKm: Float64Array;
  radiusKm: number;
}

/** The profile over a place at t hours of TT after t0, against a smooth Moon of k Earth radii. */
export function limbProfile(belt: LimbBelt, shadow: ShadowAtPlace, t: number, k: number): LimbProfile {
  return atOnce(limbProfileSteps(belt, shadow, t, k));
}

/** The same in steps of POINTS_A_STEP points. */
export function* limbProfileSteps(
  belt: LimbBelt,
  shadow: ShadowAtPlace,
  t: number,
  k: number,
): Steps<LimbProfile> {
  const seen = moonFrom(shadow, t);
  const { east, north, toObserver, distanceKm } = seen;
  const radiusKm = k * EARTH_RADIUS_KM;
  const heightKm = new Float64Array(PROFILE_POINTS);
  const steps = (2 * SEARCH_DEG) / SEARCH_STEP_DEG;
  const psi = Array.from({ length: steps + 1 }, (_, i) => (90 - SEARCH_DEG + i * SEARCH_STEP_DEG) * RAD);
  const cos = psi.map(Math.cos);
  const sin = psi.map(Math.sin);
  const [ox, oy, oz] = toObserver;
  for (let i = 0; i < PROFILE_POINTS; i++) {
    if (i % POINTS_A_STEP === 0) yield;
    const angle = i * PROFILE_STEP_DEG * RAD;
    const [c, s] = [Math.cos(angle), Math.sin(angle)];
    const wx = north[0] * c + east[0] * s;
    const wy = north[1] * c + east[1] * s;
    const wz = north[2] * c + east[2] * s;
    let highest = 0;
    for (let j = 0; j <= steps; j++) {
      const [cp, sp] = [cos[j] as number, sin[j] as number];
      const r = BELT_REFERENCE_KM + belt.heightKm(ox * cp + wx * sp, oy * cp + wy * sp, oz * cp + wz * sp);
      highest = Math.max(highest, (r * sp) / (distanceKm - r * cp));
    }
    heightKm[i] = (distanceKm * highest) / Math.sqrt(1 + highest * highest) - radiusKm;
  }
  return { heightKm, radiusKm, ...faceOf(seen) };
}

/** Libration, axis and distance alone, over a place at t hours of TT after t0. */
export function moonFace(shadow: ShadowAtPlace, t: number): MoonFace {
  return faceOf(moonFrom(shadow, t));
}

function faceOf({ east, north, toObserver, distanceKm }: ReturnType<typeof moonFrom>): MoonFace {
  const [ox, oy, oz] = toObserver;
  return {
    librationLonDeg: Math.atan2(oy, ox) / RAD,
    librationLatDeg: Math.asin(oz) / RAD,
    axisAngleDeg: (Math.atan2(east[2], north[2]) / RAD + 360) % 360,
    distanceKm,
  };
}

/** Sky directions and the observer as seen from the Moon's centre, on the Moon's axes. */
function moonFrom(shadow: ShadowAtPlace, t: number) {
  const e = shadow.elements;
  const at = ttMs(e.t0TtMs + t * MS_PER_HOUR);
  const s = shadow.at(t);
  const d = polynomial(e.dDeg, t) * RAD;
  const a = (siderealDeg(at) - polynomial(e.muDeg, t)) * RAD;
  const e1: Vector = [-Math.sin(a), Math.cos(a), 0];
  const e2: Vector = [-Math.sin(d) * Math.cos(a), -Math.sin(d) * Math.sin(a), Math.cos(d)];
  const e3: Vector = [Math.cos(d) * Math.cos(a), Math.cos(d) * Math.sin(a), Math.sin(d)];
  const toMoon = sum(scaled(e1, s.u), scaled(e2, s.v), scaled(e3, moonHeight(e, t) - s.zeta));
  const distance = Math.hypot(...toMoon);
  const sight = scaled(toMoon, 1 / distance);
  const north = unit(sum(e2, scaled(sight, -dot(e2, sight))));
  const east = unit(sum(e1, scaled(sight, -dot(e1, sight))));
  const axes = moonAxes(at);
  const onMoon = (v: Vector): Vector => [dot(v, axes.toEarth), dot(v, axes.toEast), dot(v, axes.toNorth)];
  return {
    east: onMoon(east),
    north: onMoon(north),
    toObserver: onMoon(scaled(sight, -1)),
    distanceKm: distance * EARTH_RADIUS_KM,
  };
}

/** The Moon's height above the fundamental plane, Earth radii, out of the penumbra's cone. */
function moonHeight(e: BesselianElements, t: number): number {
  const secF1 = Math.sqrt(1 + e.tanF1 * e.tanF1);
  return (polynomial(e.l1, t) - CANON_SIZES.kPenumbra * secF1) / e.tanF1;
}

/** Greenwich mean sidereal time as if UT1 were TT, as the elements' mu has it. Meeus (12.4). */
function siderealDeg(at: TtMs): number {
  const days = (at - J2000_MS) / 86_400_000;
  return 280.46061837 + 360.98564736629 * days + 0.000387933 * (days / 36_525) ** 2;
}

const dot = (a: Vector, b: Vector) => a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
const scaled = (v: Vector, f: number): Vector => [v[0] * f, v[1] * f, v[2] * f];
const unit = (v: Vector): Vector => scaled(v, 1 / Math.hypot(...v));
const sum = (...vs: Vector[]): Vector =>
  vs.reduce<Vector>((a, b) => [a[0] + b[0], a[1] + b[1], a[2] + b[2]], [0, 0, 0]);
