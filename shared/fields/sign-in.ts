/** What a lead signs in with. */
import * as v from "valibot";
import { text } from "./text.ts";

export const PIN_DIGITS = { least: 4, most: 12 };
/** Of the one-time code that another lead shows. */
export const CODE_DIGITS = 8;

/* @__NO_SIDE_EFFECTS__ */
function digits(least: number, most: number, says: string) {
  return v.pipe(v.string("must be text"), v.regex(new RegExp(`^\\d{${least},${most}}$`), says));
}

export const pinText = digits(
  PIN_DIGITS.least,
  PIN_DIGITS.most,
  `must be ${PIN_DIGITS.least} to ${PIN_DIGITS.most} digits`,
);
export const codeText = digits(CODE_DIGITS, CODE_DIGITS, `must be ${CODE_DIGITS} digits`);
/** Whose session it is, for the log; may be left empty. */
export const leadName = text(40);
