/** Text as schemas, once: trimmed, with a length, and the words of a refusal. */
import * as v from "valibot";
import { partsOf } from "./number.ts";

/** Text of at most `most` characters as it came, blanks at its ends included. */
/* @__NO_SIDE_EFFECTS__ */
export function rawText(most: number) {
  return v.pipe(v.string("must be text"), v.maxLength(most, `must have at most ${most} characters`));
}

/** The same without blanks at its ends; it may be empty. */
/* @__NO_SIDE_EFFECTS__ */
export function text(most: number) {
  return v.pipe(
    v.string("must be text"),
    v.trim(),
    v.maxLength(most, `must have at most ${most} characters`),
  );
}

/** Trimmed text that says something. */
/* @__NO_SIDE_EFFECTS__ */
export function name(most: number) {
  return v.pipe(text(most), v.minLength(1, "must not be empty"));
}

/** How many characters a schema made here takes. Throws where it has no such bound: a bug. */
export function lengthOf(schema: v.GenericSchema): number {
  const found = partsOf(schema).findLast((part) => part.type === "max_length")?.requirement;
  if (typeof found !== "number") throw new TypeError("the schema has no max_length");
  return found;
}
