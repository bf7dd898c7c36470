/** The registers of a rig's record, one for each reported field that is kept as one (reported-fields.ts). */

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

/** What is known of a rig's state. */
export function stateNow(registers: FieldRegisters): StateNow {
  const now: Record<string, unknown> = {};
  for (const field of STATE_FIELDS) now[field] = registers[field]?.value ?? null;
  return now as StateNow;
}
