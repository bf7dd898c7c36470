/** Queries of the open interface: text in an address, parsed to numbers with units and ranges. */
import * as v from "valibot";
import { type NumberRange, rangeOf } from "../../shared/fields/number.ts";
import { coordinatesText, heightM, latDeg, lonDeg, placeBoundM } from "../../shared/fields/place.ts";
import { parseIsoUtc } from "../../shared/time/iso.ts";

/** A number written in an address. Empty text and trailing letters are refused. */
const numberText = ({ least, most }: Pick<NumberRange, "least" | "most">, says?: string) =>
  v.pipe(
    v.string("must be given once, as a number"),
    v.description(says ?? `A number, ${least} to ${most}`),
    v.trim(),
    v.regex(/^[+-]?(\d+(\.\d*)?|\.\d+)(e[+-]?\d+)?$/i, "must be a number"),
    v.transform(Number),
    v.minValue(least, `must be at least ${least}`),
    v.maxValue(most, `must be at most ${most}`),
  );

const dateText = v.pipe(
  v.string("must be given once"),
  v.check((text) => parseIsoUtc(text) !== undefined, "must be a date, YYYY-MM-DD"),
);

export const EclipsesQuery = v.object({ from: v.optional(dateText), to: v.optional(dateText) });

const eclipseId = v.pipe(v.string("must be given once"), v.regex(/^\d{4}-\d\d-\d\d$/, "must be YYYY-MM-DD"));
const place = {
  lat: numberText(rangeOf(latDeg)),
  /** Degrees east; up to 360 is taken as the same meridian. */
  lon: numberText({ ...rangeOf(lonDeg), most: 360 }),
  height: v.optional(numberText(rangeOf(heightM)), "0"),
};
const model = {
  deltaT: v.optional(numberText({ least: -200, most: 600 })),
  kPenumbra: v.optional(numberText({ least: 0.26, most: 0.28 })),
  kUmbra: v.optional(numberText({ least: 0.26, most: 0.28 })),
  solarRadius: v.optional(
    numberText(
      { least: 950, most: 970 },
      "Sun's radius at 1 au for limb, arcseconds: that of eclipses, 959.95, by default; 959.63 is the canon's. contacts keep the canon's Sun, so without the limb it changes nothing",
    ),
  ),
};

export const CircumstancesQuery = v.object({
  eclipse: eclipseId,
  ...place,
  ...model,
  limb: v.optional(v.picklist(["on", "off"], "must be on or off"), "on"),
  placeBound: v.optional(
    numberText(rangeOf(placeBoundM), "How well the coordinates are known, metres; 30 by default"),
  ),
});
export const PlaceQuery = v.object({ eclipse: eclipseId, ...place });
export const TrackQuery = v.object({
  eclipse: eclipseId,
  ...place,
  step: v.optional(numberText({ least: 5, most: 600 }), "60"),
});
export const PathQuery = v.object({ eclipse: eclipseId });
export const CoordinatesQuery = v.object({ text: coordinatesText });

export const LogQuery = v.object({
  run: v.optional(v.pipe(v.string("must be given once"), v.maxLength(80, "must have at most 80 characters"))),
  after: v.optional(numberText({ least: 0, most: 1e12 })),
});
