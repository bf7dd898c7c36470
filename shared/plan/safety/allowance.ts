/**
 * When a rig's filter may be off: the allowance of S2, S3, S4 and S12. Outside it a filter that
 * is off while the Sun is exposed is a danger (S1).
 *
 * Times hang on C2 and C3, so they follow every shift of a contact. The numbers are common
 * practice without a published source; the frame (filters only off within totality, front
 * filters on optics at all other times) is NASA's eye-safety text and the NASA/AAS statement.
 */

import type { LocalEclipse } from "../local-eclipse.ts";
import type { Rig } from "../model/plan.ts";

export interface Allowance {
  /** Not off before this. */
  offFrom: { anchor: "C2"; offsetS: number };
  /** Time to begin putting it on. */
  onFrom: { anchor: "C3"; offsetS: number };
  /** Seated by this. */
  onBy: { anchor: "C3"; offsetS: number };
  /** Only where somebody looks through: no eye at the optics from this on. */
  eyeAwayBy?: { anchor: "C3"; offsetS: number };
}

/** What of a rig the allowance depends on. */
export type RigOptics = Pick<
  Rig,
  "kind" | "lookedThrough" | "publicQueue" | "unattended" | "focalLengthMm" | "filter"
>;

/** S3: a looked-through rig stays filtered when totality is shorter than this, seconds. */
export const LOOKED_THROUGH_LEAST_S = 40;
/** S3, seconds after C2 and before C3. */
export const LOOKED_THROUGH_S = { offFrom: 10, eyeAwayBy: -20, onBy: -10 } as const;
/** S4: seconds before C2 by focal length; a focal length nobody knows counts as the longest. */
export const CAMERA_EARLY_S = [
  { focalLengthMostMm: 100, earlyS: 45 },
  { focalLengthMostMm: 500, earlyS: 30 },
  { focalLengthMostMm: Number.POSITIVE_INFINITY, earlyS: 20 },
] as const;
/** S4, seconds after C3. */
export const CAMERA_ON_S = { from: 5, by: 15 } as const;
/** S12: capped from this many seconds before C2 until as many after C3. */
export const CAPPED_AROUND_S = 60;
/** S13: eyes down and glasses on, seconds from C3. */
export const EYES_DOWN_S = -15;

/** Whether an eye may be at it: said so, or a visual telescope or binocular by its nature. */
export function isLookedThrough(rig: Pick<Rig, "kind" | "lookedThrough">): boolean {
  return rig.lookedThrough || rig.kind === "visual-telescope" || rig.kind === "binocular";
}

/** Whether the rig has a front filter that could come off. */
export function hasFilter(rig: Pick<Rig, "kind" | "filter">): boolean {
  return rig.filter === "front" && rig.kind !== "projection";
}

/** Whether optics stand alone in a way that S12 minds (a wide landscape camera may). */
export function isLeftAlone(rig: Pick<Rig, "kind" | "unattended">): boolean {
  return rig.unattended && rig.kind !== "wide-camera";
}

/** Seconds a camera that nobody looks through may be unfiltered before C2 (S4), 20…45. */
export function cameraEarlyS(focalLengthMm: number | null): number {
  const focalMm = focalLengthMm ?? Number.POSITIVE_INFINITY;
  return CAMERA_EARLY_S.find((step) => focalMm <= step.focalLengthMostMm)?.earlyS ?? 20;
}

/** When this rig's filter may be off at a site with this eclipse; null for never. */
export function filterAllowance(
  rig: RigOptics,
  gets: Pick<LocalEclipse, "kind" | "totalityS">,
): Allowance | null {
  if (gets.kind !== "total" || !hasFilter(rig)) return null;
  if (rig.kind === "narrowband-telescope" || rig.publicQueue || isLeftAlone(rig)) return null;
  if (isLookedThrough(rig)) {
    if (gets.totalityS < LOOKED_THROUGH_LEAST_S) return null;
    return {
      offFrom: { anchor: "C2", offsetS: LOOKED_THROUGH_S.offFrom },
      onFrom: { anchor: "C3", offsetS: LOOKED_THROUGH_S.eyeAwayBy },
      onBy: { anchor: "C3", offsetS: LOOKED_THROUGH_S.onBy },
      eyeAwayBy: { anchor: "C3", offsetS: LOOKED_THROUGH_S.eyeAwayBy },
    };
  }
  return {
    offFrom: { anchor: "C2", offsetS: -cameraEarlyS(rig.focalLengthMm) },
    onFrom: { anchor: "C3", offsetS: CAMERA_ON_S.from },
    onBy: { anchor: "C3", offsetS: CAMERA_ON_S.by },
  };
}
