/** Instants as fields, ms since 1970: bounded so that seconds are not taken for ms. */
import { numberWithin } from "./number.ts";

const MOST = 4_133_980_800_000;

/** Between 1990 and 2101. */
export const UtcMsField = numberWithin(631_152_000_000, MOST, "ms");
/** What a camera stamps: one that was never set starts in 2000 or even in 1980. */
export const StampMsField = numberWithin(315_532_800_000, MOST, "ms");
