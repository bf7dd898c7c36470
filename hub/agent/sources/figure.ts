/** A figure that an instrument gives, within the range that the table of reported fields has for it. */
import { ALL_REPORTED } from "../../../shared/run/facts/report-schema.ts";
import type { Saying } from "../source.ts";

type Figure = {
  [Field in keyof Saying]-?: (typeof ALL_REPORTED)[Field]["type"]["is"] extends "number" ? Field : never;
}[keyof Saying];

/** Nothing is said of what is no number or lies outside. @param parts of one, to which it is rounded */
export function figure(field: Figure, value: unknown, parts?: number): Saying {
  const { least, most } = ALL_REPORTED[field].type;
  if (typeof value !== "number" || !(value >= least && value <= most)) return {};
  return { [field]: parts === undefined ? value : Math.round(value * parts) / parts };
}
