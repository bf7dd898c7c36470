/**
 * The Sun on the sensor: its size, what fits beside it, how it drifts without tracking.
 *
 * The image of a far disc of angular diameter s is 2 f tan(s/2) across; NASA RP 1398 gives focal
 * length / 109. The sky turns 15.041″ a second (sidereal rate) times the cosine of declination; on
 * the sensor that is f · 7.292·10⁻⁵ · cos δ a second (arithmetic).
 */

const ARCSEC_PER_RAD = 206_264.806;
/** Turn of the Earth against the stars, rad/s. */
const SIDEREAL_RAD_PER_S = 7.292115e-5;
/** What a solar rate is short of the sidereal one: a turn a year, rad/s. */
const YEARLY_RAD_PER_S = 1.990987e-7;

export interface Sensor {
  widthMm: number;
  heightMm: number;
  widthPx: number;
  heightPx: number;
}

/** Common formats, mm: 24 × 36 is a standard (ISO 1007); the others from memory, makers differ by 0.3 mm. */
export const SENSOR_FORMATS_MM: Readonly<Record<string, readonly [widthMm: number, heightMm: number]>> = {
  "36x24": [36, 24],
  "23.5x15.6": [23.5, 15.6],
  "22.3x14.9": [22.3, 14.9],
  "17.3x13": [17.3, 13],
  "13.2x8.8": [13.2, 8.8],
};

/** Diameter on the sensor, mm, of a disc of so many arcseconds radius. */
export function discMm(focalLengthMm: number, radiusArcsec: number): number {
  return 2 * focalLengthMm * Math.tan(radiusArcsec / ARCSEC_PER_RAD);
}

/** Width of one pixel, mm. */
export function pixelMm(sensor: Sensor): number {
  return sensor.widthMm / sensor.widthPx;
}

/** Field of view, degrees across and up. */
export function fieldDeg(focalLengthMm: number, sensor: Sensor): { widthDeg: number; heightDeg: number } {
  const deg = (mm: number) => (2 * Math.atan(mm / (2 * focalLengthMm)) * 180) / Math.PI;
  return { widthDeg: deg(sensor.widthMm), heightDeg: deg(sensor.heightMm) };
}

/** Out to how many radii of the Sun, from its centre, the corona fits on the shorter side. */
export function radiiThatFit(focalLengthMm: number, sensor: Sensor, sunRadiusArcsec: number): number {
  return Math.min(sensor.widthMm, sensor.heightMm) / discMm(focalLengthMm, sunRadiusArcsec);
}

/** The longest focal length at which so many radii fit, mm. */
export function longestFocalMm(sensor: Sensor, sunRadiusArcsec: number, radii: number): number {
  const side = Math.min(sensor.widthMm, sensor.heightMm);
  return side / (2 * radii * Math.tan(sunRadiusArcsec / ARCSEC_PER_RAD));
}

export const TRACKING = ["none", "sidereal", "solar"] as const;
export type Tracking = (typeof TRACKING)[number];

/** How fast the Sun moves over the sensor, mm/s. The Moon's own motion (0.5″/s) is neglected. */
export function driftMmPerS(focalLengthMm: number, declinationDeg: number, tracking: Tracking): number {
  const rate =
    tracking === "none"
      ? SIDEREAL_RAD_PER_S - YEARLY_RAD_PER_S
      : tracking === "sidereal"
        ? YEARLY_RAD_PER_S
        : 0;
  return focalLengthMm * rate * Math.cos((declinationDeg * Math.PI) / 180);
}

/**
 * The longest exposure, s, in which the drift stays within so much on the sensor, mm; Infinity when
 * nothing drifts. 0.025 mm is the older rule "340 / focal length" (from memory); two pixels are
 * common practice, no source.
 */
export function longestSharpS(driftMm: number, blurMm: number): number {
  return driftMm > 0 ? blurMm / driftMm : Number.POSITIVE_INFINITY;
}
