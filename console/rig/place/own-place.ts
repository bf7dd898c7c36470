/**
 * The site has moved and the hub is out of reach: the phone works with a place of its own, typed
 * or taken from its receiver, until the lead saves a plan again. Circumstances are worked out once,
 * in place-part.tsx, and kept beside the rigs; here they replace the lead's. Pure.
 */
import type { Circumstances } from "../../../shared/eclipse/circumstances-types.ts";
import type { SiteState } from "../../../shared/run/state.ts";
import type { UtcMs } from "../../../shared/time/instants.ts";

export interface OwnPlace {
  eclipse: string;
  latDeg: number;
  lonDeg: number;
  heightM: number;
  /** When it was taken, real UTC: for a minute filters come off by eye only (S5). */
  atUtcMs: UtcMs;
  /** The plan it departs from; a newer one of the lead ends it. */
  planRevision: number;
  circumstances: Circumstances;
}

export const OWN_PLACE_KEY = "own-place";

/** Whether it still counts: the same eclipse, and the lead has saved nothing since. */
export function ownPlaceHolds(own: OwnPlace | null, state: SiteState | null): own is OwnPlace {
  return (
    own !== null &&
    state !== null &&
    state.plan.site !== null &&
    state.plan.eclipse === own.eclipse &&
    state.plan.revision <= own.planRevision
  );
}

/** The state with the phone's own place in place of the lead's. */
export function withOwnPlace(state: SiteState, own: OwnPlace | null): SiteState {
  if (!ownPlaceHolds(own, state) || !state.plan.site) return state;
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
