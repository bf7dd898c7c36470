/** What was said of a rig, by people or instruments, in words. */

import type { PracticeStarted } from "../../../../shared/run/events.ts";
import {
  INSTRUMENT_FIELDS,
  INSTRUMENTS,
  type Instrument,
  type InstrumentField,
} from "../../../../shared/run/facts/instrument-fields.ts";
import type { Register } from "../../../../shared/run/facts/registers.ts";
import type { FieldType, StateField } from "../../../../shared/run/facts/reported-fields.ts";
import { runTime } from "../../../../shared/run/run-time.ts";
import { utcMs } from "../../../../shared/time/instants.ts";
import { clockText } from "../../../parts/time-format.ts";
import { factText } from "../../../parts/words-for-fact.ts";
import { isWordKey, t } from "../../../words/words.ts";

/** Which instrument said it; null for a person. */
export function isInstrument({ by }: Register<unknown>): Instrument | null {
  return INSTRUMENTS.find((name) => by === `instrument:${name}`) ?? null;
}

/** Instants are shown by the clock that the screen shows. */
export function saidText(
  field: StateField | InstrumentField,
  value: unknown,
  practice: PracticeStarted | null,
): string {
  if (!isOfInstruments(field)) return factText(field, value as never);
  const type: FieldType = INSTRUMENT_FIELDS[field].type;
  if (type.is === "time") return clockText(runTime(practice, utcMs(Number(value))));
  if (type.is === "number") return figure(Number(value), type.step, type.unit);
  if (type.is === "flag") return t(value === true ? "fact.yes" : "fact.no");
  const key = `fact.${field}.${String(value)}`;
  return type.is === "word" && isWordKey(key) ? t(key) : String(value);
}

function isOfInstruments(field: string): field is InstrumentField {
  return Object.hasOwn(INSTRUMENT_FIELDS, field);
}

/** To the last digit that is worth reading; exposures shorter than a second as parts of one. */
function figure(value: number, step: number, unit: string): string {
  if (unit === "s" && value > 0 && value < 0.4) return `1/${Math.round(1 / value)} s`;
  const digits = Math.max(0, Math.ceil(-Math.log10(step)));
  const text = String(Number(value.toFixed(digits)));
  return unit === "" ? text : unit === "°" ? `${text}°` : `${text} ${unit}`;
}
