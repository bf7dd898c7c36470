/** A whole number within what its schema allows. */
import { useId } from "react";
import { rangeOf } from "../../../shared/fields/number.ts";

interface CountFieldProps {
  name: string;
  label: string;
  schema: Parameters<typeof rangeOf>[0];
  value: number;
  onChange: (value: number) => void;
}

export function CountField({ name, label, schema, value, onChange }: CountFieldProps) {
  const { least, most } = rangeOf(schema);
  const id = useId();
  return (
    <div className="labelled">
      <label htmlFor={id}>{label}</label>
      <input
        id={id}
        name={name}
        type="number"
        className="field field--short"
        min={least}
        max={most}
        step={1}
        value={value}
        onChange={(event) => onChange(Number(event.target.value))}
      />
    </div>
  );
}
