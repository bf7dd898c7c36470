/** What was reported of a rig, in words: every field of the table alike (reported-fields.ts). */
import "../words/bundles/facts.ts";
import { type FieldValue, REPORTED, type StateField } from "../../shared/run/facts/reported-fields.ts";
import { isWordKey, t } from "../words/words.ts";

/** One value: "0.4 GB", "38 GB", "yes", "thin cloud". */
export function factText<Field extends StateField>(field: Field, value: FieldValue<Field>): string {
  if (typeof value === "boolean") return t(value ? "fact.yes" : "fact.no");
  if (typeof value === "number") return figureText(field, value);
  const key = `fact.${field}.${value}`;
  return isWordKey(key) ? t(key) : String(value);
}

function figureText(field: StateField, value: number): string {
  const { type } = REPORTED[field];
  const fine = type.is === "number" && type.step < 1 && value < 10;
  const figure = fine ? value.toFixed(1) : value.toFixed(0);
  const key = `fact.${field}.value`;
  return isWordKey(key) ? t(key, { value: figure }) : figure;
}
