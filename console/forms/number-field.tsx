/** A number with its label, its unit beside it, and beneath it what is wrong with it. */
import type { GenericSchema } from "valibot";
import { rangeOf } from "../../shared/fields/number.ts";
import { TextField, type TextFieldProps } from "./text-field.tsx";

interface NumberFieldProps
  extends Pick<TextFieldProps, "name" | "label" | "value" | "problem" | "change" | "left"> {
  /** Of the number: its unit stands beside the field. */
  schema: GenericSchema;
}

export function NumberField({ schema, ...field }: NumberFieldProps) {
  return <TextField {...field} figures unit={rangeOf(schema).unit} inputMode="decimal" />;
}
