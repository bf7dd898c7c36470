/**
 * S5: whether this phone knows itself to be away from the place its times are for: the plan's, or
 * its own where that stands (own-place.ts). A phone long alone may hold an old plan; its times are
 * then another place's, however good its clock is.
 *
 * Model: the fix lies within its bound of the truth, the place within its own; what is further
 * apart than both together, and than NEAR_M, is apart in truth. The shadow runs at 0.5 km/s or more
 * (from memory), so that away from a path's edge 1 km is at most 2 s of contact, which S15 leaves to
 * the eye in any case. Neglected: that a receiver's bound holds for 95 % of fixes only (W3C
 * Geolocation, `accuracy`). Pure.
 */
import { groundKm } from "../../../shared/eclipse/ground-distance.ts";
import type { Site } from "../../../shared/plan/model/plan.ts";
import type { UtcMs } from "../../../shared/time/instants.ts";
import { type OwnPlace, TYPED_BOUND_M } from "./own-place.ts";

/** Where the phone's receiver said it was. */
export interface Fix {
  latDeg: number;
  lonDeg: number;
  /** How far off it may be, metres. */
  boundM: number;
  /** By the eclipse clock, real UTC. */
  atUtcMs: UtcMs;
}

/** Nearer than this nobody is elsewhere, metres (S5). */
const NEAR_M = 1000;
/** A fix known worse than this says nothing, metres: masts and addresses (common practice, no source). */
export const USEFUL_BOUND_M = 5000;
/** An older fix may be from where the phone was packed in the morning, ms (common practice, no source). */
export const FIX_COUNTS_MS = 3 * 3_600_000;

/** Whether a fix says anything at this instant; one from the future was stamped by a wrong clock. */
export function fixCounts(fix: Fix, now: UtcMs): boolean {
  return fix.boundM <= USEFUL_BOUND_M && Math.abs(now - fix.atUtcMs) <= FIX_COUNTS_MS;
}

/** Metres from the place the phone's times are for. `own`: the phone's own place, where it stands. */
export function metresAway(
  fix: Fix,
  site: Pick<Site, "latDeg" | "lonDeg">,
  own: Pick<OwnPlace, "latDeg" | "lonDeg"> | null,
): number {
  return 1000 * groundKm(own ?? site, fix);
}

export function isElsewhere(
  fix: Fix,
  site: Pick<Site, "latDeg" | "lonDeg" | "placeBoundM">,
  own: Pick<OwnPlace, "latDeg" | "lonDeg" | "boundM"> | null,
  now: UtcMs,
): boolean {
  if (!fixCounts(fix, now)) return false;
  const placeBoundM = own ? (own.boundM ?? TYPED_BOUND_M) : site.placeBoundM;
  return metresAway(fix, site, own) > Math.max(NEAR_M, fix.boundM + placeBoundM);
}
