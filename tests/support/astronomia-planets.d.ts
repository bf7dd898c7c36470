/** The parts of `astronomia` (development dependency) that tests hold planets against. */
declare module "astronomia/elliptic" {
  /** Apparent place at a Julian ephemeris day, radians (Meeus, Astronomical Algorithms, ch. 33). */
  export function position(planet: object, earth: object, jde: number): { ra: number; dec: number };
}
declare module "astronomia/planetposition" {
  /** Heliocentric places by VSOP87. */
  export class Planet {
    constructor(series: object);
  }
}
declare module "astronomia/data" {
  const series: Record<`vsop87B${"mercury" | "venus" | "earth" | "mars" | "jupiter" | "saturn"}`, object>;
  export default series;
}
