/**
 * What was said of a rig, with who said it: of each reported field the newest word stands under its
 * name, and under `from` its source, and the other side's word where person and instrument differ.
 */
import { ownValue } from "../../shared/fields/own-key.ts";
import type { Instrument } from "../../shared/run/facts/instrument-fields.ts";
import { INSTRUMENT_FIELD_NAMES, type InstrumentField } from "../../shared/run/facts/instrument-fields.ts";
import { newest, type Register } from "../../shared/run/facts/registers.ts";
import { STATE_FIELDS } from "../../shared/run/facts/reported-fields.ts";
import type { RigStatus } from "../../shared/run/views/rig-status.ts";

export interface Source {
  by: "person" | "instrument";
  /** Which one; null for a person. */
  instrument: Instrument | null;
  atUtcMs: number;
}
export interface FieldSource extends Source {
  other?: Source & { value: unknown };
}

type Said = Pick<RigStatus, "record">;

/** Null while no instrument has said. */
export function instrumentValues({ record: { instruments } }: Said): Record<InstrumentField, unknown> {
  return Object.fromEntries(
    INSTRUMENT_FIELD_NAMES.map((field) => [field, ownValue(instruments, field)?.value ?? null]),
  ) as Record<InstrumentField, unknown>;
}

/** By field; one that nobody has said is missing. */
export function sourcesOf({ record }: Said): Record<string, FieldSource> {
  const from: Record<string, FieldSource> = {};
  for (const field of STATE_FIELDS) {
    const [person, instrument] = [
      record[field] as Register<unknown> | undefined,
      ownValue(record.instruments, field),
    ];
    const newer = newest(person, instrument);
    if (!newer) continue;
    const other = newer === person ? instrument : person;
    from[field] = {
      ...sourceOf(newer),
      ...(other && other.value !== newer.value && { other: { value: other.value, ...sourceOf(other) } }),
    };
  }
  for (const field of INSTRUMENT_FIELD_NAMES) {
    const said = ownValue(record.instruments, field);
    if (said) from[field] = sourceOf(said);
  }
  return from;
}

function sourceOf({ by, observedUtcMs }: Register<unknown>): Source {
  const [, instrument] = /^instrument:(.*)$/.exec(by) ?? [];
  return {
    by: instrument ? "instrument" : "person",
    instrument: (instrument as Instrument | undefined) ?? null,
    atUtcMs: observedUtcMs,
  };
}
