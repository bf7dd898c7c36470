/** Queries of the open interface: text in an address, parsed to numbers with units and ranges. */
import * as v from "valibot";
import { parseIsoUtc } from "../../shared/time/iso.ts";

/** A number written in an address. Empty text and trailing letters are refused. */
const numberText = (least: number, most: number, says?: string) =>
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
  lat: numberText(-90, 90),
  /** Degrees east; up to 360 is taken as the same meridian. */
  lon: numberText(-180, 360),
  height: v.optional(numberText(-430, 9000), "0"),
};
const model = {
  deltaT: v.optional(numberText(-200, 600)),
  kPenumbra: v.optional(numberText(0.26, 0.28)),
  kUmbra: v.optional(numberText(0.26, 0.28)),
  solarRadius: v.optional(
    numberText(
      950,
      970,
      "Sun's radius at 1 au for limb, arcseconds: that of eclipses, 959.95, by default; 959.63 is the canon's. contacts keep the canon's Sun, so without the limb it changes nothing",
    ),
  ),
};

export const CircumstancesQuery = v.object({
  eclipse: eclipseId,
  ...place,
  ...model,
  limb: v.optional(v.picklist(["on", "off"], "must be on or off"), "on"),
  placeBound: v.optional(numberText(0, 100_000, "How well the coordinates are known, metres; 30 by default")),
});
export const PlaceQuery = v.object({ eclipse: eclipseId, ...place });
export const TrackQuery = v.object({
  eclipse: eclipseId,
  ...place,
  step: v.optional(numberText(5, 600), "60"),
});
export const PathQuery = v.object({ eclipse: eclipseId });
export const CoordinatesQuery = v.object({ text: v.pipe(v.string("must be given once"), v.maxLength(200)) });

export const LogQuery = v.object({
  run: v.optional(v.pipe(v.string("must be given once"), v.maxLength(80))),
  after: v.optional(numberText(0, 1e12)),
});
