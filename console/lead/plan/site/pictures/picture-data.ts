/** What the hub tells for the pictures of a place. Angles in degrees, times UTC ms. */

/** [longitude, latitude]. */
export type LonLat = [number, number];

/** GET /api/path: lines from where the shadow comes to where it leaves; empty where there are none. */
export interface EclipsePath {
  eclipse: string;
  centre: LonLat[];
  north: LonLat[];
  south: LonLat[];
}

/** One minute of GET /api/track. */
export interface TrackPoint {
  utcMs: number;
  altitudeDeg: number;
  azimuthDeg: number;
  /** Fraction of the Sun's area, 0…1. */
  covered: number;
  /** Between the centres, solar radii. */
  separation: number;
  /** Of the Moon's centre from the Sun's, from celestial north through east. */
  positionAngleDeg: number;
  /** Diameter of the Moon over the Sun's. */
  ratio: number;
}

/** GET /api/path-distance: null where the eclipse has no central path. */
export interface PathDistance {
  inside: boolean;
  centralLine: { km: number; bearingDeg: number; latDeg: number; lonDeg: number } | null;
  edge: { km: number; bearingDeg: number; latDeg: number; lonDeg: number; side: string } | null;
  /** Seconds of totality or ring that 1 km toward the central line gains; 0 outside the path. */
  gainSPerKm: number;
}

/** A bead on the Sun's limb, degrees from celestial north through east. */
export interface Bead {
  positionAngleDeg: number;
  fromUtcMs: number;
  toUtcMs: number;
}

/** Of GET /api/limb: beads about C2 and C3, longest first. */
export interface Beads {
  c2: readonly Bead[];
  c3: readonly Bead[];
}
