/**
 * What an eclipse is at one place: the contract between the solver (this room) and everyone
 * who uses it. Angles in degrees, heights in metres, times UTC ms; `kind` is geometric,
 * `visible` says whether any of it is above the horizon.
 */
import type { UtcMs } from "../time/instants.ts";

export interface Place {
  /** Geodetic latitude, degrees, north positive, −90…90 (WGS84). */
  latDeg: number;
  /** Longitude, degrees, east positive, −180…180. */
  lonDeg: number;
  /** Height above the ellipsoid, metres, −430…9000. */
  heightM: number;
}

export type EclipseKind = "total" | "annular" | "hybrid" | "partial";
export type LocalKind = "none" | "partial" | "annular" | "total";
export type ContactName = "c1" | "c2" | "max" | "c3" | "c4";

export interface Contact {
  utcMs: UtcMs;
  /** Altitude of the Sun's centre without refraction, degrees. */
  altitudeDeg: number;
  /** Azimuth, degrees from north through east, 0…360. */
  azimuthDeg: number;
  /** On the Sun's disc, degrees from celestial north through east, 0…360. */
  positionAngleDeg: number;
  /** The same from the zenith. */
  positionAngleFromZenithDeg: number;
  /** Whether the Sun is above the sea horizon, refraction included. */
  aboveHorizon: boolean;
}

/** Instants besides the contacts that cues may hang on, where they are known. */
export const MOMENTS = ["sunLost", "sunBack", "beadsC2", "beadsC3", "sunrise", "sunset"] as const;
export type MomentName = (typeof MOMENTS)[number];

/** One share of the timing error, seconds, with a key for its plain words. */
export interface ErrorShare {
  cause: "elements" | "deltaT" | "place" | "height" | "limb" | "solarRadius";
  s: number;
}

/**
 * From the inner contacts of the smooth Moon and the canon's Sun to those seen at a place: what the
 * Moon's mountains and valleys do, with the Sun as eclipses show it.
 */
export interface LimbShift {
  /** Seconds to add to C2 and C3. */
  c2ShiftS: number;
  c3ShiftS: number;
  /** How well the Moon's limb is known, in seconds of the contacts seen. */
  boundS: number;
  /** How well the Sun's radius is known, in seconds of the contacts seen. */
  radiusBoundS: number;
}

export interface Circumstances {
  /** Date of greatest eclipse, e.g. "2027-08-02". */
  eclipse: string;
  kind: LocalKind;
  visible: boolean;
  deltaTS: number;
  kPenumbra: number;
  kUmbra: number;
  /** For the smooth Moon and the canon's Sun; `limb` is to be added to c2 and c3. */
  contacts: Record<ContactName, Contact | null>;
  /** Seconds between c2 and c3, smooth Moon; 0 when there is no central phase. */
  durationS: number;
  /** Fraction of the Sun's diameter covered at maximum. */
  magnitude: number;
  /** Apparent diameter of the Moon over the Sun's at maximum. */
  ratio: number;
  /** Fraction of the Sun's area covered at maximum, 0…1. */
  obscuration: number;
  /** Seconds to add to c2 and c3: they lead to what is seen (LimbShift). */
  limb?: { c2ShiftS: number; c3ShiftS: number };
  /**
   * sunLost, sunBack: the Sun's last sliver goes behind the site's skyline, its first comes back.
   * beadsC2: the limb begins to break into beads before C2; beadsC3: the last bead after C3.
   * sunrise and sunset are those of `sunUp`, and are not here.
   */
  moments?: Partial<Record<MomentName, UtcMs>>;
  /** How good the contact times are: a bound in seconds on C2 and C3. */
  timingBoundS: number;
  timingShares: ErrorShare[];
  /**
   * By how many seconds the central phase may be shorter than `durationS` because of what the place
   * leaves open (its coordinates' and height's bounds), 0…`durationS`; 0 without a central phase.
   * States saved by earlier releases lack it.
   */
  lengthBoundS?: number;
  /** Instants within C1…C4 at which the Sun's upper limb rises or sets, refraction included. */
  sunriseUtcMs: UtcMs | null;
  sunsetUtcMs: UtcMs | null;
  /**
   * The stretch around maximum in which the Sun's upper limb is up (sea horizon, refraction
   * included): null where it is up since 1.5 h before C1, or to C4 and beyond. Absent where
   * nothing of the eclipse is visible, and in what was saved before there was such a field.
   */
  sunUp?: { fromUtcMs: UtcMs | null; untilUtcMs: UtcMs | null };
}

/** As computed now, with what states saved earlier may lack. */
export type FreshCircumstances = Circumstances & Required<Pick<Circumstances, "lengthBoundS">>;
