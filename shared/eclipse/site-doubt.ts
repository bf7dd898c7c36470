/** How well a site itself is known. */
export interface SiteDoubt {
  /** Horizontal error of the coordinates, metres; 30 by default (a phone's fix). */
  placeBoundM?: number;
  /** Error of the height, metres; 50 by default. */
  heightBoundM?: number;
}

const DEFAULT_PLACE_BOUND_M = 30;
const DEFAULT_HEIGHT_BOUND_M = 50;

export function siteBounds(doubt: SiteDoubt): Required<SiteDoubt> {
  return {
    placeBoundM: doubt.placeBoundM ?? DEFAULT_PLACE_BOUND_M,
    heightBoundM: doubt.heightBoundM ?? DEFAULT_HEIGHT_BOUND_M,
  };
}
