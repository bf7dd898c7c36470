/** Where on the Earth, as schemas: plan, addresses and typed coordinates have the same bounds. */
import { numberWithin } from "./number.ts";
import { rawText } from "./text.ts";

export const latDeg = numberWithin(-90, 90, "°");
/** East is positive. */
export const lonDeg = numberWithin(-180, 180, "°");
/** From the shore of the lowest lake to where people breathe, metres above the ellipsoid. */
export const heightM = numberWithin(-430, 9000, "m");
/** One place in any written form, as it was typed or pasted. */
export const coordinatesText = rawText(200);
/** How well a place is known, metres. */
export const placeBoundM = numberWithin(0, 100_000, "m");
