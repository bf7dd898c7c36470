/** Ids that come from outside, as schemas: keys of plain objects here (own-key.ts). */
import * as v from "valibot";
import { isPlainKey, NOT_PLAIN_KEY } from "./own-key.ts";
import { rawText } from "./text.ts";

/** An id that a client made up, of at most `most` characters. */
/* @__NO_SIDE_EFFECTS__ */
export function idText(most: number) {
  return v.pipe(rawText(most), v.minLength(1, "must not be empty"), v.check(isPlainKey, NOT_PLAIN_KEY));
}

/** Of commands, devices, runs, calls. */
export const id = idText(80);

/** Of rigs and cues in a plan: short, and good in an address. */
export const planId = v.pipe(
  v.string("must be text"),
  v.regex(/^[a-z0-9][a-z0-9-]{0,39}$/, "must be 1 to 40 of a–z, 0–9 and hyphen"),
  v.check(isPlainKey, NOT_PLAIN_KEY),
);
