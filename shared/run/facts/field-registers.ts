/** The registers of a rig's record, one for each reported field that is kept as one (reported-fields.ts). */

import { ownValue } from "../../fields/own-key.ts";
import { newer, newest, type Register } from "./registers.ts";
import {
  type FieldName,
  type FieldValue,
  REGISTERS,
  REPORTED,
  type RegisterName,
  STATE_FIELDS,
  type StateNow,
} from "./reported-fields.ts";

/** Missing means never said. */
export type FieldRegisters = { [Field in RegisterName]?: Register<FieldValue<Field>> };
/**
 * What instruments said, by field, those of instrument-fields.ts among them: the newest of each.
 * Kept by name, since phones fold them without having their rows.
 */
export type InstrumentRegisters = Readonly<Record<string, Register<unknown>>>;
/** Of an instrument's report these are no state of their own. */
const NO_FIELDS: ReadonlySet<string> = new Set(["instrument", "rigId", "flags"]);
/** The same while fields are treated alike. */
type AnyRegisters = Partial<Record<RegisterName, Register<unknown>>>;

/** Takes a report's words in; `registers` is changed. */
export function takeIn(
  registers: FieldRegisters,
  report: { readonly [Field in FieldName]?: unknown },
  registerOf: (value: unknown) => Register<unknown>,
): void {
  const known = registers as AnyRegisters;
  for (const field of REGISTERS) {
    const value = report[field];
    if (value !== undefined) known[field] = newer(known[field], registerOf(value));
  }
}

/** Takes words in that are kept by name; `registers` is changed. */
export function takeByName<Value>(
  registers: Record<string, Register<Value>>,
  words: object,
  registerOf: (word: never) => Register<Value>,
): void {
  for (const [name, word] of Object.entries(words))
    if (word !== undefined && !NO_FIELDS.has(name))
      registers[name] = newer(ownValue(registers, name), registerOf(word as never));
}

/** Those of two records taken together. */
export function newestOfInstruments(a: InstrumentRegisters, b: InstrumentRegisters): InstrumentRegisters {
  const both = { ...a };
  takeByName(both, b, (register) => register);
  return both;
}

/** Those of the real run and of a practice taken together, for the practice. */
export function practiceRegisters(real: FieldRegisters, own: FieldRegisters): FieldRegisters {
  const both: AnyRegisters = {};
  for (const field of REGISTERS) {
    const inRun = REPORTED[field].merges === "run";
    const register = inRun ? own[field] : newest<unknown>(real[field], own[field]);
    if (register) both[field] = register;
  }
  return both as FieldRegisters;
}

/** What is known of a rig's state: the newest word, be it a person's or an instrument's. */
export function stateNow(record: FieldRegisters & { instruments: InstrumentRegisters }): StateNow {
  const now: Record<string, unknown> = {};
  for (const field of STATE_FIELDS)
    now[field] = newest<unknown>(record[field], ownValue(record.instruments, field))?.value ?? null;
  return now as StateNow;
}
