/**
 * The schema of what a rig may say of itself, made from the table of fields. Apart from the table
 * and from events.ts, so that pages, which check nothing the hub will check, do not carry it.
 */
import * as v from "valibot";
import { flag } from "../../fields/flag.ts";
import { idText } from "../../fields/id.ts";
import { UtcMsField } from "../../fields/instant.ts";
import { numberWithin } from "../../fields/number.ts";
import { isPlainKey, NOT_PLAIN_KEY } from "../../fields/own-key.ts";
import { rawText, text } from "../../fields/text.ts";
import {
  INSTRUMENT_FIELDS,
  INSTRUMENT_ROW,
  type Instrument,
  type InstrumentField,
} from "./instrument-fields.ts";
import {
  type FieldName,
  type FieldType,
  type FieldValue,
  REPORTED,
  type ValueOfType,
} from "./reported-fields.ts";

/** An empty one is none of ours and was always taken: it may stand in logs and outboxes. */
const checkId = v.pipe(rawText(40), v.check(isPlainKey, NOT_PLAIN_KEY));

/** What a field of this type may hold. */
export function valueSchema(type: FieldType): v.GenericSchema {
  switch (type.is) {
    case "number":
      return numberWithin(type.least, type.most, type.unit);
    case "flag":
      return flag;
    case "word":
      return v.picklist(type.words, `must be ${listed(type.words)}`);
    case "text":
      return text(type.most);
    case "time":
      return UtcMsField;
    case "cue":
      return idText(60);
    case "checks":
      return v.pipe(v.record(checkId, flag), v.maxEntries(60, "must have at most 60 entries"));
    case "flags":
      return v.strictObject(Object.fromEntries(type.of.map((name) => [name, flag])));
  }
}

function listed(words: readonly string[]): string {
  return `${words.slice(0, -1).join(", ")} or ${words.at(-1)}`;
}

/** Both halves of the table. */
export const ALL_REPORTED = { ...REPORTED, instrument: INSTRUMENT_ROW, ...INSTRUMENT_FIELDS };
export type AnyField = keyof typeof ALL_REPORTED;

type ReportEntries = { instrument: v.OptionalSchema<v.GenericSchema<Instrument>, undefined> } & {
  [Field in FieldName]: v.OptionalSchema<v.GenericSchema<FieldValue<Field>>, undefined>;
} & {
  [Field in InstrumentField]: v.OptionalSchema<
    v.GenericSchema<ValueOfType<(typeof INSTRUMENT_FIELDS)[Field]["type"]>>,
    undefined
  >;
};

/** Every field may be left out, but not all. */
export const reportFields = Object.fromEntries(
  Object.entries(ALL_REPORTED).map(([field, { type }]) => [field, v.optional(valueSchema(type))]),
) as ReportEntries;
export const ReportSchema = v.strictObject(reportFields);
export type Report = v.InferOutput<typeof ReportSchema>;

/** Null, or what is wrong: what only instruments can say must be said by one. */
export function unsaidInstrument(report: Report): string | null {
  if (report.instrument) return null;
  const field = Object.keys(report).find(
    (name) => Object.hasOwn(INSTRUMENT_FIELDS, name) && report[name as InstrumentField] !== undefined,
  );
  return field ? `must be named where ${field} is said` : null;
}
