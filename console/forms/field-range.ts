/**
 * Fields of forms made from the plan's schemas: what may be typed, and the figures of the message
 * where something else was. No range, unit or length is written down a second time.
 */
import type { GenericSchema } from "valibot";
import { rangeOf } from "../../shared/fields/number.ts";
import type { WordKey, WordValues } from "../words/words.ts";
import { readNumber } from "./read-number.ts";

/** Why a field cannot be taken as it was typed. */
export interface FieldProblem {
  key: WordKey;
  values?: WordValues;
}

/** What was typed, as a number that the schema takes; null where it is none. */
export function readWithin(schema: GenericSchema, text: string): number | null {
  const value = readNumber(text);
  return value !== null && isWithin(schema, value) ? value : null;
}

export function isWithin(schema: GenericSchema, value: number): boolean {
  const { least, most } = rangeOf(schema);
  return value >= least && value <= most;
}

/** {least}, {most} and {unit} of a message: −430, 9000, "m". */
export function rangeWords(schema: GenericSchema): { least: string; most: string; unit: string } {
  const { least, most, unit } = rangeOf(schema);
  return { least: figure(least), most: figure(most), unit };
}

/** A true minus, and thousands apart from five digits on (ISO 80000-1, 7.3.1). */
function figure(value: number): string {
  const digits = String(Math.abs(value));
  const apart = digits.length > 4 ? digits.replace(/\B(?=(\d{3})+$)/g, "\u00a0") : digits;
  return value < 0 ? `−${apart}` : apart;
}
