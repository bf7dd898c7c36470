/**
 * From the ICRF to the true equator and equinox of date, and how far the Earth has turned.
 *
 * Model: IAU 2006 precession by the Fukushima–Williams angles (Capitaine, Wallace & Chapront 2003;
 * IERS Conventions 2010, 5.40), IAU 1980 nutation as carried by `astronomia` (Meeus ch. 22): its
 * 0.05″ against IAU 2000A turns Earth, Sun and Moon together and moves a place by 1.5 m.
 * Sidereal time: earth rotation angle with UT1 = TT (ΔT comes in at the place), plus the IAU 2006
 * polynomial (IERS Conventions 2010, 5.32) and the equation of the equinoxes.
 */
import { nutation } from "astronomia/nutation";
import type { Vector } from "./ephemeris.ts";

const ARCSEC = Math.PI / 648_000;
const J2000 = 2_451_545;

export interface EarthOrientation {
  /** Turns an ICRF vector to the true equator and equinox of date. */
  toDate(v: Vector): Vector;
  /** Greenwich apparent sidereal time as if UT1 were TT, degrees, 0…360. */
  siderealDeg: number;
}

/** The Earth's orientation at a Julian day of TT. */
export function earthOrientation(jd: number): EarthOrientation {
  const T = (jd - J2000) / 36_525;
  const poly = (...c: number[]) => c.reduceRight((sum, v) => sum * T + v, 0) * ARCSEC;
  const gamma = poly(-0.052928, 10.556378, 0.4932044, -0.00031238, -0.000002788, 0.000000026);
  const phi = poly(84381.412819, -46.811016, 0.0511268, 0.00053289, -0.00000044, -0.0000000176);
  const psi = poly(-0.041775, 5038.481484, 1.5584175, -0.00018522, -0.000026452, -0.0000000148);
  const epsilon = poly(84381.406, -46.836769, -0.0001831, 0.0020034, -0.000000576, -0.0000000434);
  const [dPsi, dEps] = nutation(jd);
  const days = jd - J2000;
  const era = 2 * Math.PI * (0.779057273264 + 0.00273781191135448 * days + (days % 1));
  const precessed = poly(0.014506, 4612.156534, 1.3915817, -0.00000044, -0.000029956, -0.0000000368);
  const node = (125.04452 - 1934.136261 * T) * (Math.PI / 180);
  const equinoxes =
    dPsi * Math.cos(epsilon) + (0.00264 * Math.sin(node) + 0.000063 * Math.sin(2 * node)) * ARCSEC;
  const turns = (era + precessed + equinoxes) / (2 * Math.PI);
  return {
    siderealDeg: (turns - Math.floor(turns)) * 360,
    toDate: (v) => aboutX(aboutZ(aboutX(aboutZ(v, gamma), phi), -(psi + dPsi)), -(epsilon + dEps)),
  };
}

function aboutX([x, y, z]: Vector, a: number): Vector {
  return [x, Math.cos(a) * y + Math.sin(a) * z, -Math.sin(a) * y + Math.cos(a) * z];
}

function aboutZ([x, y, z]: Vector, a: number): Vector {
  return [Math.cos(a) * x + Math.sin(a) * y, -Math.sin(a) * x + Math.cos(a) * y, z];
}
