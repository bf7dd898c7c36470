/**
 * How good the predicted contacts are: each cause of error turned into seconds at this place and
 * joined as the root of the sum of squares (the causes are independent). Causes are bounds (about
 * 95 %), so the total is one too. Near a path's edge, where the shadow's edge creeps along, the
 * seconds grow without the sky being known any worse; that is taken from the contact's own
 * geometry, to second order in time. Limb and Sun are shares of what is seen where a limb profile is
 * used: it moves the contacts seen themselves (limb-effect.ts), since a valley at the path's edge may
 * creep where the smooth Moon's edge does not. Without one, the Sun's share is how far the contacts,
 * which are for the canon's Sun, stand from those of the Sun of eclipses.
 */
import type { ErrorShare, LimbShift, Place } from "./circumstances-types.ts";
import type { ContactHours } from "./contacts.ts";
import type { DeltaT } from "./delta-t.ts";
import { CANON_SIZES, EARTH_RADIUS_KM, SUN_OF_ECLIPSES_ARCSEC, withSizes } from "./elements.ts";
import { observerAt, ShadowAtPlace, type ShadowState } from "./shadow-at-place.ts";
import { type SiteDoubt, siteBounds } from "./site-doubt.ts";

/** Shadow's place on the fundamental plane: 0.02″ of the Moon's position, as tested, in km. */
const ELEMENTS_BOUND_KM = 0.04;
/**
 * Where no profile is used: how far the Moon's relief that decides a contact stands from the smooth
 * Moon, km, in 95 % of 308 central places of 1990–2100 (limb-effect.ts): valleys in a total
 * eclipse, peaks in an annular one.
 */
const SMOOTH_LIMB_BOUND_KM = { total: 3, annular: 6, partial: 3 };

interface Timing {
  timingBoundS: number;
  timingShares: ErrorShare[];
}

/** The bound on C2 and C3 (on C1 and C4 where there is no central phase), and its shares. */
export function timingOf(
  shadow: ShadowAtPlace,
  hours: ContactHours,
  place: Place,
  deltaT: DeltaT,
  limb: LimbShift | undefined,
  doubt: SiteDoubt,
): Timing {
  const central = hours.c2 !== null && hours.c3 !== null;
  const times = central ? [hours.c2 as number, hours.c3 as number] : [hours.c1, hours.c4];
  const gap = (s: ShadowState) => s.u * s.u + s.v * s.v - (central ? s.l2 * s.l2 : s.l1 * s.l1);
  const share = { elements: 0, deltaT: 0, place: 0, height: 0, limb: 0, solarRadius: 0 };
  const other = variants(shadow, place);
  const largerSun = limb ? shadow : withLargerSun(shadow);
  const { placeBoundM, heightBoundM } = siteBounds(doubt);
  for (const t of times) {
    const s = shadow.at(t);
    const q = gap(s);
    const per = (variant: ShadowAtPlace) => gap(variant.at(t)) - q;
    const radius = Math.abs(central ? s.l2 : s.l1);
    const metres = Math.hypot(per(other.north), per(other.east)) / STEP_M;
    const grow = (cause: keyof typeof share, dq: number) => {
      share[cause] = Math.max(share[cause], secondsFor(s, central, Math.abs(dq)));
    };
    grow("elements", (2 * radius * ELEMENTS_BOUND_KM) / EARTH_RADIUS_KM);
    grow("deltaT", per(other.later) * deltaT.boundS);
    grow("place", metres * placeBoundM);
    grow("height", (per(other.higher) / STEP_M) * heightBoundM);
    if (limb) continue;
    grow("solarRadius", per(largerSun));
    grow("limb", (2 * radius * SMOOTH_LIMB_BOUND_KM[hours.kind]) / EARTH_RADIUS_KM);
  }
  if (limb) [share.limb, share.solarRadius] = [limb.boundS, limb.radiusBoundS];
  const timingShares = Object.entries(share).map(([cause, s]) => ({ cause, s }) as ErrorShare);
  return { timingShares, timingBoundS: Math.hypot(...Object.values(share)) };
}

const STEP_M = 100;

/** The same eclipse for a site a step away, and for ΔT a second later. */
function variants(shadow: ShadowAtPlace, place: Place) {
  const { elements, observer, deltaTS } = shadow;
  const degrees = STEP_M / 111_200;
  const poleward = place.latDeg > 0 ? -degrees : degrees;
  const aside = degrees / Math.max(1e-6, observer.cosLat);
  const at = (p: Place) => new ShadowAtPlace(elements, observerAt(p), deltaTS);
  return {
    north: at({ ...place, latDeg: place.latDeg + poleward }),
    east: at({ ...place, lonDeg: place.lonDeg + Math.min(aside, 90) }),
    higher: at({ ...place, heightM: place.heightM + STEP_M }),
    later: new ShadowAtPlace(elements, observer, deltaTS + 1),
  };
}

/** The same for the Sun of eclipses. */
function withLargerSun({ elements, observer, deltaTS }: ShadowAtPlace): ShadowAtPlace {
  const sizes = { ...CANON_SIZES, solarRadiusArcsec: SUN_OF_ECLIPSES_ARCSEC };
  return new ShadowAtPlace(withSizes(elements, sizes), observer, deltaTS);
}

/**
 * By how many seconds a contact moves when m² − L² changes by ±dq: the larger root of
 * n²τ² + rτ = ±dq; where the contact vanishes, the time to the phase's middle.
 */
function secondsFor(s: ShadowState, central: boolean, dq: number): number {
  const [l, lRate] = central ? [s.l2, s.l2Rate] : [s.l1, s.l1Rate];
  const r = Math.abs(2 * (s.u * s.uRate + s.v * s.vRate - l * lRate));
  const n2 = s.uRate * s.uRate + s.vRate * s.vRate;
  const outward = (-r + Math.sqrt(r * r + 4 * n2 * dq)) / (2 * n2);
  const inward = (r - Math.sqrt(Math.max(0, r * r - 4 * n2 * dq))) / (2 * n2);
  return 3600 * Math.max(outward, inward);
}
