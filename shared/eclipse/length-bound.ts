/**
 * By how much the central phase may be shorter than stated because nobody knows quite where the
 * site is. A site whose coordinates are good to 15 km may lie outside the path: then nothing is
 * left of the stated length.
 *
 * No linearisation: the length of the smooth Moon's phase is solved anew at displaced places, in
 * eight directions at the coordinates' bound (the first straight across the shadow's way, where the
 * length falls off fastest), and at the height's bound up and down, at the place and at the worst
 * of the eight. A place where there is no phase of the same kind counts as none of it left. What
 * limb, Sun and clock leave open is not in it: only the place.
 */
import type { Place } from "./circumstances-types.ts";
import { type ContactHours, centralHoursNear } from "./contacts.ts";
import { going } from "./going.ts";
import { observerAt, ShadowAtPlace } from "./shadow-at-place.ts";
import { type SiteDoubt, siteBounds } from "./site-doubt.ts";

const DEG = 180 / Math.PI;
const DIRECTIONS = 8;

/** Seconds, 0…stated length; 0 where there is no central phase. */
export function lengthBoundS(
  shadow: ShadowAtPlace,
  hours: ContactHours,
  place: Place,
  doubt: SiteDoubt,
): number {
  const { c2, c3 } = hours;
  if (c2 === null || c3 === null) return 0;
  const middle = (c2 + c3) / 2;
  const { placeBoundM, heightBoundM } = siteBounds(doubt);
  const lengthAt = (p: Place) => {
    const over = new ShadowAtPlace(shadow.elements, observerAt(p), shadow.deltaTS);
    const there = centralHoursNear(over, { c2, c3 });
    return there?.kind === hours.kind ? there.c3 - there.c2 : 0;
  };
  const stated = c3 - c2;
  let least = stated;
  let worst = place;
  const across = acrossDeg(shadow, middle);
  for (let i = 0; i < DIRECTIONS && placeBoundM > 0 && least > 0; i++) {
    const there = {
      ...going(place, across + (i * 360) / DIRECTIONS, placeBoundM / 1000),
      heightM: place.heightM,
    };
    const length = lengthAt(there);
    if (length < least) [least, worst] = [length, there];
  }
  const sides = worst === place ? [place] : [place, worst];
  for (const side of sides)
    for (const up of [heightBoundM, -heightBoundM])
      if (up !== 0 && least > 0) least = Math.min(least, lengthAt({ ...side, heightM: side.heightM + up }));
  return (stated - least) * 3600;
}

/**
 * The direction over the ground, degrees from north through east, that leads straight out of the
 * shadow's way: the gradient of the distance from the line which the axis draws past the place.
 */
function acrossDeg(shadow: ShadowAtPlace, t: number): number {
  const { uRate, vRate, hourAngleRad, sinDec, cosDec } = shadow.at(t);
  const { sinLat, cosLat } = shadow.observer;
  const [sinH, cosH] = [Math.sin(hourAngleRad), Math.cos(hourAngleRad)];
  // A step north, and one east, on the fundamental plane.
  const north = { x: -sinLat * sinH, y: cosLat * cosDec + sinLat * cosH * sinDec };
  const east = { x: cosH, y: sinH * sinDec };
  return Math.atan2(east.x * vRate - east.y * uRate, north.x * vRate - north.y * uRate) * DEG;
}
