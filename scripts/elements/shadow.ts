/**
 * Bessel's quantities at one moment, from apparent Sun and Moon on the true equator of date.
 * Source: Explanatory Supplement to the Astronomical Almanac (1992), 8.321–8.323.
 */
import { CANON_SIZES, EARTH_RADIUS_KM, solarRadiusEarthRadii } from "../../shared/eclipse/elements.ts";
import { earthOrientation } from "./earth-orientation.ts";
import { apparentMoon, apparentSun, type Vector } from "./ephemeris.ts";

export interface Shadow {
  x: number;
  y: number;
  dDeg: number;
  muDeg: number;
  l1: number;
  l2: number;
  tanF1: number;
  tanF2: number;
}

const UNIX_JD = 2_440_587.5;

/** The shadow at an instant of TT (ms since 1970), with the canon's sizes of Moon and Sun. */
export function shadowAt(ttMs: number): Shadow {
  const jd = ttMs / 86_400_000 + UNIX_JD;
  // TDB − TT, at most 1.7 ms (Explanatory Supplement 2.222).
  const anomaly = ((357.53 + 0.9856003 * (jd - 2_451_545)) * Math.PI) / 180;
  const tdb = jd + (0.001658 * Math.sin(anomaly)) / 86_400;
  const { toDate, siderealDeg } = earthOrientation(jd);
  const radii = (v: Vector): Vector => [
    v[0] / EARTH_RADIUS_KM,
    v[1] / EARTH_RADIUS_KM,
    v[2] / EARTH_RADIUS_KM,
  ];
  const moon = radii(toDate(apparentMoon(tdb)));
  const sun = radii(toDate(apparentSun(tdb)));
  const axis: Vector = [sun[0] - moon[0], sun[1] - moon[1], sun[2] - moon[2]];
  const g = Math.hypot(...axis);
  const a = Math.atan2(axis[1], axis[0]);
  const d = Math.asin(axis[2] / g);
  const [ca, sa, cd, sd] = [Math.cos(a), Math.sin(a), Math.cos(d), Math.sin(d)];
  const z = cd * ca * moon[0] + cd * sa * moon[1] + sd * moon[2];
  const s = solarRadiusEarthRadii(CANON_SIZES.solarRadiusArcsec);
  const f1 = Math.asin((s + CANON_SIZES.kPenumbra) / g);
  const f2 = Math.asin((s - CANON_SIZES.kUmbra) / g);
  return {
    x: -sa * moon[0] + ca * moon[1],
    y: -sd * ca * moon[0] - sd * sa * moon[1] + cd * moon[2],
    dDeg: (d * 180) / Math.PI,
    muDeg: siderealDeg - (a * 180) / Math.PI,
    l1: z * Math.tan(f1) + CANON_SIZES.kPenumbra / Math.cos(f1),
    l2: z * Math.tan(f2) - CANON_SIZES.kUmbra / Math.cos(f2),
    tanF1: Math.tan(f1),
    tanF2: Math.tan(f2),
  };
}
