/** The parts of `astronomia` (development dependency) that the elements builder reads. */
declare module "astronomia/data/elpMppDeFull" {
  /** ELP/MPP02 fitted to DE405. A term: [amplitude, phase, phase rates to T⁴] with T in centuries. */
  const data: {
    W1: number[];
    L: Record<string, number[][]>;
    B: Record<string, number[][]>;
    R: Record<string, number[][]>;
  };
  export default data;
}
declare module "astronomia/data/vsop87Bearth" {
  /** VSOP87B: heliocentric Earth. A term: [amplitude, phase, frequency] per power of Julian millennia. */
  const data: {
    L: Record<string, number[][]>;
    B: Record<string, number[][]>;
    R: Record<string, number[][]>;
  };
  export default data;
}
declare module "astronomia/nutation" {
  /** IAU 1980 nutation in longitude and obliquity, radians, at a Julian ephemeris day. */
  export function nutation(jde: number): [number, number];
}
