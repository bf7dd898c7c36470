/**
 * The site has moved and the hub is out of reach: the phone works with a place of its own, typed
 * or taken from its receiver, until the lead moves the site or chooses another eclipse, or the
 * operator goes back to the lead's place. Circumstances are worked out once, in place-part.tsx, and
 * kept beside the rigs; here they replace the lead's. Both when it begins and when it ends contacts
 * jump, so that for a minute filters come off by eye only (S5). Pure.
 */
import type { Circumstances, Place } from "../../../shared/eclipse/circumstances-types.ts";
import { samePlace } from "../../../shared/plan/model/same-place.ts";
import type { SiteState } from "../../../shared/run/state.ts";
import { type UtcMs, utcMs } from "../../../shared/time/instants.ts";

export interface OwnPlace {
  eclipse: string;
  latDeg: number;
  lonDeg: number;
  heightM: number;
  /** How well it is known, metres; absent in what an earlier program has kept. */
  boundM?: number;
  /** When it was taken, real UTC. */
  atUtcMs: UtcMs;
  /** The lead's place it departs from; another one of the lead's ends it. */
  lead: Place;
  /** The plan that says so; a page that still holds an older one ends nothing. */
  planRevision: number;
  /** When it ended, real UTC; null while it stands. */
  endedUtcMs: UtcMs | null;
  circumstances: Circumstances;
}

export const OWN_PLACE_KEY = "own-place";
/** How well a place taken by hand is known, metres, when nothing says. */
export const TYPED_BOUND_M = 100;

/** Whether it counts: it was not ended, and eclipse and place of the lead's are the same. */
export function ownPlaceHolds(own: OwnPlace, { plan }: SiteState): boolean {
  return (
    own.endedUtcMs === null &&
    plan.eclipse === own.eclipse &&
    (samePlace(plan.site, own.lead) || plan.revision < own.planRevision)
  );
}

/** The state with the phone's own place in place of the lead's, or in doubt of the lead's after it. */
export function withOwnPlace(state: SiteState, own: OwnPlace | null, now: UtcMs): SiteState {
  if (!own) return state;
  if (!state.plan.site || !ownPlaceHolds(own, state)) {
    const endedUtcMs = own.endedUtcMs ?? now;
    return {
      ...state,
      placeChangedUtcMs: utcMs(Math.max(state.placeChangedUtcMs ?? endedUtcMs, endedUtcMs)),
    };
  }
  const { latDeg, lonDeg, heightM } = own;
  return {
    ...state,
    plan: {
      ...state.plan,
      // The skyline was drawn at the other place.
      site: { ...state.plan.site, latDeg, lonDeg, heightM, skyline: [] },
    },
    circumstances: own.circumstances,
    placeChangedUtcMs: own.atUtcMs,
  };
}
