/**
 * Where the Moon's centre stands on the sky beside the Sun's, at any time of an eclipse, from what
 * a board knows of it: the contact times, the position angles of C1 and C4, magnitude and ratio.
 *
 * Model: the Moon's centre goes past the Sun's along a straight line, in units of the Sun's radius,
 * north up. The line's direction is that from C1 to C4; its distance from the Sun's centre is what
 * the magnitude says ((1 + ratio − distance) / 2); along it the centre is where it must be at each
 * contact (1 + ratio away at C1 and C4, |ratio − 1| at C2 and C3, nearest at maximum), and moves
 * evenly in between. Neglects that the path bends a little, as the observer turns with the Earth,
 * and the change of the Moon's size. Made for a drawing: within 0.05 solar radii of an ephemeris
 * (tests/console/parts/moon-position.test.ts).
 *
 * Position angles count from celestial north (or the zenith) through east, degrees; as seen on the
 * sky, against the hands of a clock.
 */
import type { ContactName } from "../../shared/eclipse/circumstances-types.ts";

export interface EclipseShape {
  /** Contacts, ms on one scale; null where there is none. */
  contacts: Readonly<Record<ContactName, number | null>>;
  /** Of the points of contact on the Sun's limb, from celestial north. */
  positionAngles: Readonly<Record<"c1" | "c4", number | null>>;
  /** Fraction of the Sun's diameter covered at maximum. */
  magnitude: number;
  /** Apparent diameter of the Moon over the Sun's. */
  ratio: number;
}

export interface MoonPosition {
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
  const side = Math.sign(from.east * across.east + from.north * across.north) || 1;
  const travelled = alongAt(shape, nearest, at);
  const east = along.east * travelled + across.east * side * nearest;
  const north = along.north * travelled + across.north * side * nearest;
  return {
    separation: Math.hypot(east, north),
    positionAngleDeg: turn(Math.atan2(east, north) / RAD),
  };
}

/** Fraction of the Sun's diameter that is covered, 0…1; 1 where the Moon covers all of it. */
export function coveredWidth(separation: number, ratio: number): number {
  if (separation <= Math.max(0, ratio - 1)) return 1;
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

/** Solar radii along the path from the point nearest the Sun's centre, negative before maximum. */
function alongAt(shape: EclipseShape, nearest: number, at: number): number {
  const { contacts, ratio } = shape;
  const reach = (separation: number) => Math.sqrt(Math.max(0, separation ** 2 - nearest ** 2));
  const outer = reach(1 + ratio);
  const inner = reach(Math.abs(ratio - 1));
  const knots = (
    [
      [contacts.c1, -outer],
      [contacts.c2, -inner],
      [contacts.max, 0],
      [contacts.c3, inner],
      [contacts.c4, outer],
    ] as const
  ).filter((knot): knot is readonly [number, number] => knot[0] !== null);
  for (let i = 1; i < knots.length; i++) {
    const [t0, s0] = knots[i - 1] ?? [0, 0];
    const [t1, s1] = knots[i] ?? [0, 0];
    if (at <= t1) return t1 > t0 ? s0 + ((s1 - s0) * (at - t0)) / (t1 - t0) : s1;
  }
  return outer;
}

function onSky(angleDeg: number, distance: number): { east: number; north: number } {
  return { east: distance * Math.sin(angleDeg * RAD), north: distance * Math.cos(angleDeg * RAD) };
}

function turn(deg: number): number {
  return ((deg % 360) + 360) % 360;
}
