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

/** Takes an instrument's report in; `registers` is changed. */
export function takeInstrumentIn(
  registers: Record<string, Register<unknown>>,
  report: object,
  registerOf: (value: unknown) => Register<unknown>,
): void {
  for (const [field, value] of Object.entries(report))
    if (value !== undefined && !NO_FIELDS.has(field))
      registers[field] = newer(ownValue(registers, field), registerOf(value));
}

/** Those of two records taken together. */
export function newestOfInstruments(a: InstrumentRegisters, b: InstrumentRegisters): InstrumentRegisters {
  const both: Record<string, Register<unknown>> = { ...a };
  for (const [field, register] of Object.entries(b)) both[field] = newer(ownValue(both, field), register);
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
export function stateNow(registers: FieldRegisters, instruments: InstrumentRegisters): StateNow {
  const now: Record<string, unknown> = {};
  for (const field of STATE_FIELDS)
    now[field] = newest<unknown>(registers[field], ownValue(instruments, field))?.value ?? null;
  return now as StateNow;
}
