/**
 * How the Moon is turned: its axes (toward the mean Earth, toward longitude 90° east, toward the
 * north pole) on the equator of date.
 * Source: IAU Working Group on Cartographic Coordinates and Rotational Elements, report of 2009
 * (Archinal et al. 2011), Moon, mean Earth axes; good to 0.01° here. Precession: Lieske's angles
 * (Meeus 21.2); nutation neglected (0.005°, 0.15 km on the limb).
 */
import type { TtMs } from "../time/time-scales.ts";

export type Vector = readonly [number, number, number];

const RAD = Math.PI / 180;
const J2000_MS = 946_728_000_000;

/** [E at J2000, degrees a day; its terms: right ascension and W by sine, declination by cosine]. */
const TERMS: readonly (readonly [number, number, number, number, number])[] = [
  [125.045, -0.0529921, -3.8787, 3.561, 1.5419],
  [250.089, -0.1059842, -0.1204, 0.1208, 0.0239],
  [260.008, 13.0120009, 0.07, -0.0642, -0.0278],
  [176.625, 13.3407154, -0.0172, 0.0158, 0.0068],
  [357.529, 0.9856003, 0, 0.0252, 0],
  [311.589, 26.4057084, 0.0072, -0.0066, -0.0029],
  [134.963, 13.064993, 0, -0.0047, 0.0009],
  [276.617, 0.3287146, 0, -0.0046, 0],
  [34.226, 1.7484877, 0, 0.0028, 0],
  [15.134, -0.1589763, -0.0052, 0.0052, 0.0008],
  [119.743, 0.0036096, 0, 0.004, 0],
  [239.961, 0.1643573, 0, 0.0019, 0],
  [25.053, 12.9590088, 0.0043, -0.0044, -0.0009],
];

/** The Moon's three axes at an instant of TT, unit vectors on the mean equator and equinox of date. */
export function moonAxes(at: TtMs): { toEarth: Vector; toEast: Vector; toNorth: Vector } {
  const days = (at - J2000_MS) / 86_400_000;
  const T = days / 36_525;
  let ra = 269.9949 + 0.0031 * T;
  let dec = 66.5392 + 0.013 * T;
  let w = 38.3213 + 13.17635815 * days - 1.4e-12 * days * days;
  for (const [e0, rate, raTerm, wTerm, decTerm] of TERMS) {
    const e = (e0 + rate * days) * RAD;
    ra += raTerm * Math.sin(e);
    w += wTerm * Math.sin(e);
    dec += decTerm * Math.cos(e);
  }
  const [ca, sa] = [Math.cos(ra * RAD), Math.sin(ra * RAD)];
  const [cd, sd] = [Math.cos(dec * RAD), Math.sin(dec * RAD)];
  const [cw, sw] = [Math.cos(w * RAD), Math.sin(w * RAD)];
  // Where the Moon's equator rises through the Earth's, and 90° on from it.
  const node: Vector = [-sa, ca, 0];
  const ahead: Vector = [-sd * ca, -sd * sa, cd];
  const onEquator = (c: number, s: number): Vector => [
    c * node[0] + s * ahead[0],
    c * node[1] + s * ahead[1],
    c * node[2] + s * ahead[2],
  ];
  return {
    toEarth: precessed(onEquator(cw, sw), T),
    toEast: precessed(onEquator(-sw, cw), T),
    toNorth: precessed([cd * ca, cd * sa, sd], T),
  };
}

/** From the equator of J2000 to that of date. */
function precessed([x, y, z]: Vector, T: number): Vector {
  const arcsec = RAD / 3600;
  const zeta = T * (2306.2181 + T * (0.30188 + T * 0.017998)) * arcsec;
  const zed = T * (2306.2181 + T * (1.09468 + T * 0.018203)) * arcsec;
  const theta = T * (2004.3109 - T * (0.42665 + T * 0.041833)) * arcsec;
  const [x1, y1] = [Math.cos(zeta) * x - Math.sin(zeta) * y, Math.sin(zeta) * x + Math.cos(zeta) * y];
  const [x2, z2] = [Math.cos(theta) * x1 - Math.sin(theta) * z, Math.sin(theta) * x1 + Math.cos(theta) * z];
  return [Math.cos(zed) * x2 - Math.sin(zed) * y1, Math.sin(zed) * x2 + Math.cos(zed) * y1, z2];
}
