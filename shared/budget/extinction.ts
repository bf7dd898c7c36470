/**
 * What the air takes from the Sun, by its height: a low eclipse wants longer exposures.
 *
 * Model: extinction coefficient times air mass. The air mass is Kasten & Young's fit (1989, Applied
 * Optics 28, 4735, eq. 3), good to 0.5 % down to the horizon. The coefficient is Green's sum for the
 * eye's green light (1992, International Comet Quarterly 14, 55–59) of air, dust and ozone; dust
 * (0.120) and ozone (0.016) are his means, from memory, and vary by a factor of two from day to day.
 * Neglected: colour, smoke, thin cloud.
 */

const RAD = Math.PI / 180;
/** Stops of one magnitude: log2 of the fifth root of 100. */
const STOPS_PER_MAGNITUDE = Math.log2(100 ** 0.2);
/** Green light to which the coefficient belongs, micrometres. */
const LAMBDA_UM = 0.51;
/** Heights above the sea over which air and dust fall to 1/e, km. */
const AIR_SCALE_KM = 7.996;
const DUST_SCALE_KM = 1.5;
const DUST_MAG = 0.12;
const OZONE_MAG = 0.016;

/**
 * Relative air mass towards an apparent height in degrees, 1 overhead, 38 at the horizon. Below the
 * horizon there is none: Infinity.
 */
export function airMass(apparentAltitudeDeg: number): number {
  if (apparentAltitudeDeg < 0) return Number.POSITIVE_INFINITY;
  const h = Math.min(90, apparentAltitudeDeg);
  return 1 / (Math.sin(h * RAD) + 0.50572 * (h + 6.07995) ** -1.6364);
}

/** Magnitudes lost per air mass at a height above the sea in metres, in clear air. */
export function extinctionMag(heightM: number): number {
  const heightKm = heightM / 1000;
  const inverse = LAMBDA_UM ** -2;
  const index = 0.23465 + 107.6 / (146 - inverse) + 0.93161 / (41 - inverse);
  const air = 0.0094977 * inverse ** 2 * index ** 2 * Math.exp(-heightKm / AIR_SCALE_KM);
  return air + DUST_MAG * Math.exp(-heightKm / DUST_SCALE_KM) + OZONE_MAG;
}

/** Stops of light lost between space and the ground at an apparent height. */
export function extinctionStops(apparentAltitudeDeg: number, magPerAirMass: number): number {
  return magPerAirMass * airMass(apparentAltitudeDeg) * STOPS_PER_MAGNITUDE;
}

/**
 * Stops that a low Sun loses against one overhead. Published exposures are for a Sun well up: this
 * is what has to be added to them.
 */
export function lowSunStops(apparentAltitudeDeg: number, magPerAirMass: number): number {
  return extinctionStops(apparentAltitudeDeg, magPerAirMass) - extinctionStops(90, magPerAirMass);
}
