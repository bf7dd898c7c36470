/** Whether two sites are the same point, so that contacts of one hold for the other. */
import type { Place } from "../../eclipse/circumstances-types.ts";

/** Null stands for no site; two missing ones are the same. */
export function samePlace(a: Place | null, b: Place | null): boolean {
  return a?.latDeg === b?.latDeg && a?.lonDeg === b?.lonDeg && a?.heightM === b?.heightM;
}
