/**
 * Everything one eclipse is at one place: contacts with where they stand in the sky and on the
 * Sun's disc, magnitude, kind, duration, sunrise or sunset on the way, and how good it all is.
 *
 * Model: smooth spherical Moon and Sun; contacts from the Besselian elements (contacts.ts); ΔT
 * turns the Earth only, so UTC = TT − 32.184 s − (TAI−UTC) whatever ΔT is. Refraction decides
 * visibility and never moves a contact. Contacts are for the canon's Sun (959.63″), as the printed
 * tables are; the Moon's mountains and the Sun of eclipses come in by `limb`.
 * Magnitude is (L1 − m)/(L1 + L2), the fraction of the Sun's diameter covered, inside the central
 * path too (there the printed tables of NASA and USNO use the same).
 */
import type { UtcMs } from "../time/instants.ts";
import { ttMs, utcFromTt } from "../time/time-scales.ts";
import { turn360 } from "./angles.ts";
import type { Circumstances, Contact, FreshCircumstances, LimbShift, Place } from "./circumstances-types.ts";
import { type ContactHours, contactHours, magnitudeOf } from "./contacts.ts";
import { type DeltaT, deltaTAt } from "./delta-t.ts";
import {
  type BesselianElements,
  CANON_SIZES,
  type DiscSizes,
  MS_PER_HOUR,
  SUN_OF_ECLIPSES_ARCSEC,
  withSizes,
} from "./elements.ts";
import { horizonCrossings, sunUpAround } from "./horizon.ts";
import { lengthBoundS } from "./length-bound.ts";
import { obscurationOf } from "./obscuration.ts";
import {
  observerAt,
  parallacticAngleDeg,
  ShadowAtPlace,
  type ShadowState,
  sunInSky,
} from "./shadow-at-place.ts";
import type { SiteDoubt } from "./site-doubt.ts";
import { RISEN_ALTITUDE_DEG } from "./sun.ts";
import { timingOf } from "./timing-bound.ts";

const DEG = 180 / Math.PI;

export interface CircumstancesOptions extends SiteDoubt {
  /** ΔT in seconds instead of the table's. */
  deltaTS?: number;
  /** Moon's radius in Earth radii for the penumbra; the canon's 0.272488 by default. */
  kPenumbra?: number;
  /** The same for the umbra; the canon's 0.272281 by default. */
  kUmbra?: number;
  /**
   * Sun's radius at 1 au for what is seen (limb-effect.ts), arcseconds; that of eclipses, 959.95, by
   * default. Contacts keep the canon's Sun whatever it is: for another Sun throughout, resize the
   * elements (`withSizes`).
   */
  solarRadiusArcsec?: number;
  /** What leads from C2 and C3 here to those seen (the hub's limb profile); left out: smooth Moon. */
  limb?: (smooth: Circumstances) => LimbShift | undefined;
}

/**
 * The smooth shadow over a place with the options' Moon, the canon's Sun and ΔT, and the Sun's radius
 * for what is seen; throws RangeError naming a bad field.
 */
export function shadowAt(
  elements: BesselianElements,
  place: Place,
  options: CircumstancesOptions = {},
): { shadow: ShadowAtPlace; deltaT: DeltaT; sizes: DiscSizes; seenSunArcsec: number } {
  inRange("latDeg", place.latDeg, -90, 90);
  inRange("lonDeg", place.lonDeg, -360, 360);
  inRange("heightM", place.heightM, -1000, 20_000);
  const table = deltaTAt(utcFromTt(elements.greatestTtMs));
  const deltaT =
    options.deltaTS === undefined
      ? table
      : { ...table, deltaTS: inRange("deltaTS", options.deltaTS, -200, 600), boundS: 0 };
  const sizes = {
    kPenumbra: inRange("kPenumbra", options.kPenumbra ?? CANON_SIZES.kPenumbra, 0.26, 0.28),
    kUmbra: inRange("kUmbra", options.kUmbra ?? CANON_SIZES.kUmbra, 0.26, 0.28),
    solarRadiusArcsec: CANON_SIZES.solarRadiusArcsec,
  };
  const seenSunArcsec = inRange(
    "solarRadiusArcsec",
    options.solarRadiusArcsec ?? SUN_OF_ECLIPSES_ARCSEC,
    950,
    970,
  );
  const sized = withSizes(elements, sizes);
  const shadow = new ShadowAtPlace(sized, observerAt(place), deltaT.deltaTS);
  return { shadow, deltaT, sizes, seenSunArcsec };
}

/**
 * Local circumstances. Latitude −90…90°, longitude −360…360° east (the usual range is
 * −180…180°), height −1000…20 000 m; throws RangeError with the field's name outside.
 */
export function circumstances(
  elements: BesselianElements,
  place: Place,
  options: CircumstancesOptions = {},
): FreshCircumstances {
  const { shadow, deltaT, sizes } = shadowAt(elements, place, options);
  const hours = contactHours(shadow);
  const common = {
    eclipse: elements.id,
    deltaTS: deltaT.deltaTS,
    kPenumbra: sizes.kPenumbra,
    kUmbra: sizes.kUmbra,
  };
  if (hours === null) {
    return {
      ...common,
      kind: "none",
      visible: false,
      contacts: { c1: null, c2: null, max: null, c3: null, c4: null },
      durationS: 0,
      magnitude: 0,
      ratio: 0,
      obscuration: 0,
      timingBoundS: 0,
      timingShares: [],
      lengthBoundS: 0,
      sunriseUtcMs: null,
      sunsetUtcMs: null,
    };
  }
  const total = hours.kind === "total";
  const contact = (t: number | null, inner = false) =>
    t === null ? null : contactAt(shadow, t, inner && total);
  const state = shadow.at(hours.max);
  const horizon = horizonCrossings(shadow, hours.c1, hours.c4);
  const utc = (t: number | null) => (t === null ? null : utcAt(elements, t));
  const up = sunUpAround(shadow, hours);
  const smooth: Circumstances = {
    ...common,
    kind: hours.kind,
    visible: horizon.visible,
    contacts: {
      c1: contact(hours.c1),
      c2: contact(hours.c2, true),
      max: contact(hours.max),
      c3: contact(hours.c3, true),
      c4: contact(hours.c4),
    },
    durationS: durationS(hours),
    magnitude: magnitudeOf(state),
    ratio: (state.l1 - state.l2) / (state.l1 + state.l2),
    obscuration: obscurationOf(state),
    timingBoundS: 0,
    timingShares: [],
    sunriseUtcMs: utc(horizon.rise),
    sunsetUtcMs: utc(horizon.set),
    ...(up && { sunUp: { fromUtcMs: utc(up.from), untilUtcMs: utc(up.until) } }),
  };
  const limb = hours.c2 === null ? undefined : options.limb?.(smooth);
  const timing = timingOf(shadow, hours, place, deltaT, limb, options);
  return {
    ...smooth,
    ...timing,
    lengthBoundS: lengthBoundS(shadow, hours, place, options),
    ...(limb && { limb: { c2ShiftS: limb.c2ShiftS, c3ShiftS: limb.c3ShiftS } }),
  };
}

/** UTC at t hours of TT after the elements' t0. */
export function utcAt(elements: BesselianElements, t: number): UtcMs {
  return utcFromTt(ttMs(elements.t0TtMs + t * MS_PER_HOUR));
}

function durationS(hours: ContactHours): number {
  return hours.c2 === null || hours.c3 === null ? 0 : (hours.c3 - hours.c2) * 3600;
}

/**
 * A contact's place in the sky and on the disc. The point where the limbs touch lies toward the
 * Moon's centre, except inside a total eclipse, where it is the opposite point; at maximum it is
 * the middle of the covered limb.
 */
function contactAt(shadow: ShadowAtPlace, t: number, opposite: boolean): Contact {
  const state: ShadowState = shadow.at(t);
  const sky = sunInSky(shadow.observer, state);
  const angle = Math.atan2(state.u, state.v) * DEG + (opposite ? 180 : 0);
  return {
    utcMs: utcAt(shadow.elements, t),
    ...sky,
    positionAngleDeg: turn360(angle),
    positionAngleFromZenithDeg: turn360(angle - parallacticAngleDeg(shadow.observer, state)),
    aboveHorizon: sky.altitudeDeg > RISEN_ALTITUDE_DEG,
  };
}

function inRange(field: string, value: number, min: number, max: number): number {
  if (!(value >= min && value <= max)) throw new RangeError(`${field} must be ${min}…${max}: ${value}`);
  return value;
}
