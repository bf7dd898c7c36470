/**
 * Where the Moon's centre stands on the sky beside the Sun's, at any time of an eclipse, from what
 * a board knows of it: the contact times, the position angles of C1 and C4, magnitude and ratio.
 *
 * Model: in units of the Sun's radius, north up, the Moon's centre goes from its touch at C1 to its
 * touch at C4. Across that chord it follows a parabola in time whose distance at maximum is what the
 * magnitude says ((1 + ratio − distance) / 2), on the chord's side of the Sun. Along it the path is
 * a parabola through C1, maximum (nearest) and C4, corrected linearly to meet C2 and C3, where the
 * centres are |ratio − 1| apart. Neglects the rest of the bend that the turning Earth gives the path,
 * and the change of the Moon's size. On which side of the Sun's centre a nearly central Moon passes
 * is not known from these data; a wrong guess is off by twice its nearest distance. Made for a
 * drawing: within 0.08 solar radii of an ephemeris, mostly 0.03
 * (tests/console/parts/moon-position.test.ts).
 *
 * Position angles count from celestial north (or the zenith) through east, degrees; as seen on the
 * sky, against the hands of a clock.
 */
import type { ContactName } from "../../shared/eclipse/circumstances-types.ts";

interface EclipseShape {
  /** Contacts, ms on one scale; null where there is none. */
  contacts: Readonly<Record<ContactName, number | null>>;
  /** Of the points of contact on the Sun's limb, from celestial north. */
  positionAngles: Readonly<Record<"c1" | "c4", number | null>>;
  /** Fraction of the Sun's diameter covered at maximum. */
  magnitude: number;
  /** Apparent diameter of the Moon over the Sun's. */
  ratio: number;
}

interface MoonPosition {
  /** Between the centres, in solar radii. */
  separation: number;
  /** Of the Moon's centre from the Sun's, from celestial north, 0…360. */
  positionAngleDeg: number;
}

const RAD = Math.PI / 180;

/** Null before C1, after C4, and where the shape is not known. */
export function moonPosition(shape: EclipseShape, at: number): MoonPosition | null {
  const { contacts, positionAngles, magnitude, ratio } = shape;
  const { c1, c4, max } = contacts;
  if (c1 === null || c4 === null || max === null || at < c1 || at > c4) return null;
  if (positionAngles.c1 === null || positionAngles.c4 === null || !(ratio > 0)) return null;
  const touch = 1 + ratio;
  const nearest = Math.min(touch, Math.max(0, touch - 2 * magnitude));
  const from = onSky(positionAngles.c1, touch);
  const to = onSky(positionAngles.c4, touch);
  const length = Math.hypot(to.east - from.east, to.north - from.north);
  // A grazing touch has no direction of its own: the Moon stays at the point of contact.
  if (length < 1e-6) return { separation: touch, positionAngleDeg: turn(positionAngles.c1) };
  const along = { east: (to.east - from.east) / length, north: (to.north - from.north) / length };
  // To the left of the motion when positive.
  const across = { east: -along.north, north: along.east };
  const chord = from.east * across.east + from.north * across.north;
  const path = { c1, max, c4, half: length / 2, chord, bend: (chord < 0 ? -nearest : nearest) - chord };
  const aside = acrossAt(path, at);
  const gone = alongAt(path, contacts, Math.abs(ratio - 1), at);
  const east = along.east * gone + across.east * aside;
  const north = along.north * gone + across.north * aside;
  return {
    separation: Math.hypot(east, north),
    positionAngleDeg: turn(Math.atan2(east, north) / RAD),
  };
}

/** Fraction of the Sun's diameter that is covered, 0…1; 1 where the Moon covers all of it. */
export function coveredWidth(separation: number, ratio: number): number {
  if (ratio >= 1 && separation <= ratio - 1) return 1;
  return Math.min(ratio, Math.max(0, (1 + ratio - separation) / 2));
}

/**
 * The parallactic angle: from celestial north to the zenith as seen at the Sun, degrees, positive
 * west of the meridian. A position angle from the zenith is that from north minus this.
 */
export function parallacticAngleDeg(
  sun: { altitudeDeg: number; azimuthDeg: number },
  latDeg: number,
): number {
  const lat = latDeg * RAD;
  const altitude = sun.altitudeDeg * RAD;
  const azimuth = sun.azimuthDeg * RAD;
  return (
    Math.atan2(
      -Math.sin(azimuth) * Math.cos(lat),
      Math.sin(lat) * Math.cos(altitude) - Math.cos(lat) * Math.sin(altitude) * Math.cos(azimuth),
    ) / RAD
  );
}

interface Path {
  c1: number;
  max: number;
  c4: number;
  /** Half the chord from C1 to C4, solar radii. */
  half: number;
  /** The chord's signed distance from the Sun's centre. */
  chord: number;
  /** How much farther across the path is at maximum than the chord. */
  bend: number;
}

function acrossAt({ c1, max, c4, chord, bend }: Path, at: number): number {
  const share = at < max ? (max - at) / (max - c1) : (at - max) / (c4 - max);
  return chord + bend * (1 - share * share);
}

/** Solar radii along the chord from the point nearest the Sun's centre, negative before maximum. */
function alongAt(path: Path, contacts: EclipseShape["contacts"], inner: number, at: number): number {
  const { c1, max, c4 } = path;
  const { c2, c3 } = contacts;
  const even = evenAlong(path, at);
  const miss = (when: number, sign: number) =>
    sign * Math.sqrt(Math.max(0, inner ** 2 - acrossAt(path, when) ** 2)) - evenAlong(path, when);
  if (c2 !== null && at < max && c2 > c1 && c2 < max)
    return even + miss(c2, -1) * (at < c2 ? (at - c1) / (c2 - c1) : (max - at) / (max - c2));
  if (c3 !== null && at > max && c3 > max && c3 < c4)
    return even + miss(c3, 1) * (at < c3 ? (at - max) / (c3 - max) : (c4 - at) / (c4 - c3));
  return even;
}

/** The parabola through −half at C1, 0 at maximum and half at C4. */
function evenAlong({ c1, max, c4, half }: Path, at: number): number {
  const before = max - c1;
  const after = c4 - max;
  const t = at - max;
  const curve = (half / after - half / before) / (before + after);
  return t * (half / after + curve * (t - after));
}

function onSky(angleDeg: number, distance: number): { east: number; north: number } {
  return { east: distance * Math.sin(angleDeg * RAD), north: distance * Math.cos(angleDeg * RAD) };
}

function turn(deg: number): number {
  return ((deg % 360) + 360) % 360;
}
