/** Whether contacts, or all that is computed of an eclipse, hold for another site, too. Pure. */
import type { Place } from "../../eclipse/circumstances-types.ts";
import type { Plan } from "./plan.ts";

/** Whether two sites are the same point. Null stands for no site; two missing ones are the same. */
export function samePlace(a: Place | null, b: Place | null): boolean {
  return a?.latDeg === b?.latDeg && a?.lonDeg === b?.lonDeg && a?.heightM === b?.heightM;
}

/** All that circumstances of a site are computed from. */
export type SkyInputs = Pick<Plan, "eclipse" | "site" | "limb">;

/**
 * Whether the sky over two sites is computed from the same: then what one gets holds for the
 * other, whatever else of it was edited.
 */
export function sameSky(a: SkyInputs, b: SkyInputs): boolean {
  if (a.eclipse !== b.eclipse || (a.site === null) !== (b.site === null)) return false;
  if (a.site === null || b.site === null) return true;
  return (
    a.limb === b.limb &&
    samePlace(a.site, b.site) &&
    a.site.placeBoundM === b.site.placeBoundM &&
    JSON.stringify(a.site.skyline) === JSON.stringify(b.site.skyline)
  );
}
