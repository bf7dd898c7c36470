/**
 * Numbers as schemas, once: a range, where it is known a unit, and the words of a refusal. Forms
 * read range and unit back from the schema (`rangeOf`), so that none is typed twice.
 */
import * as v from "valibot";

export const finite = v.pipe(v.number("must be a number"), v.finite("must be a finite number"));

/** A finite number from `least` to `most`, both included. `unit` as on screens: "m", "mm", "s", "°". */
/* @__NO_SIDE_EFFECTS__ */
export function numberWithin(least: number, most: number, unit = "") {
  return v.pipe(
    finite,
    v.minValue(least, `must be at least ${least}`),
    v.maxValue(most, `must be at most ${most}`),
    v.metadata(unit === "" ? {} : { unit }),
  );
}

/** The same without a fraction. */
/* @__NO_SIDE_EFFECTS__ */
export function wholeWithin(least: number, most: number) {
  return v.pipe(numberWithin(least, most), v.integer("must be whole"));
}

/** What a log keeps exactly: SQLite's integers and JavaScript's agree up to here. */
export const count = wholeWithin(0, Number.MAX_SAFE_INTEGER);

export interface NumberRange {
  least: number;
  most: number;
  /** "" where the number has none. */
  unit: string;
}

/** The range of a schema made here, optional or nullable or not. Throws where it has none: a bug. */
export function rangeOf(schema: v.GenericSchema): NumberRange {
  const parts = partsOf(schema);
  const bound = (type: string): number => {
    const found = parts.findLast((part) => part.type === type)?.requirement;
    if (typeof found !== "number") throw new TypeError(`the schema has no ${type}`);
    return found;
  };
  const unit = parts.map((part) => part.metadata?.unit).find((found) => typeof found === "string");
  return { least: bound("min_value"), most: bound("max_value"), unit: (unit as string | undefined) ?? "" };
}

interface SchemaPart {
  type: string;
  requirement?: unknown;
  metadata?: { unit?: unknown };
}

/** The steps of a schema: of its pipe, of pipes within it, and of what it wraps. */
export function partsOf(schema: v.GenericSchema): SchemaPart[] {
  const { pipe, wrapped } = schema as { pipe?: readonly v.GenericSchema[]; wrapped?: v.GenericSchema };
  if (wrapped) return partsOf(wrapped);
  return pipe ? pipe.flatMap(partsOf) : [schema as SchemaPart];
}
