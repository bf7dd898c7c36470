/**
 * How a camera's frame stands in the sky: an equatorial mount keeps it fixed to the north of the
 * sky, a level tripod or an alt-azimuth mount to the zenith, which turns against the north by the
 * parallactic angle.
 *
 * Source: Meeus, Astronomical Algorithms (1998), eq. 14.1.
 */
const RAD = Math.PI / 180;

export const MOUNTS = ["tripod", "alt-azimuth", "equatorial"] as const;
export type Mount = (typeof MOUNTS)[number];

/**
 * The parallactic angle: position angle of the zenith at a body, from north through east, degrees
 * −180…180; positive west of the meridian. `azimuthDeg` is from north through east.
 */
export function parallacticDeg(latDeg: number, altitudeDeg: number, azimuthDeg: number): number {
  // Meeus's 14.1 turned from hour angle and declination to azimuth and altitude.
  const [phi, alt, az] = [latDeg * RAD, altitudeDeg * RAD, azimuthDeg * RAD];
  const y = -Math.sin(az) * Math.cos(phi);
  const x = Math.sin(phi) * Math.cos(alt) - Math.cos(phi) * Math.sin(alt) * Math.cos(az);
  return Math.atan2(y, x) / RAD;
}

/** By how much the sky's north is turned in the frame, degrees, counter-clockwise from the frame's top. */
export function northInFrameDeg(mount: Mount, parallactic: number, cameraTurnDeg = 0): number {
  // East lies counter-clockwise of north in the sky: with the zenith on top, north is turned back.
  return (mount === "equatorial" ? 0 : -parallactic) + cameraTurnDeg;
}
