/** A number with its label, its unit beside it, and beneath it what is wrong with it. */
import { useId } from "react";
import type { GenericSchema } from "valibot";
import { rangeOf } from "../../shared/fields/number.ts";
import { t, type WordKey } from "../words/words.ts";
import type { FieldProblem } from "./field-range.ts";

interface NumberFieldProps {
  name: string;
  label: WordKey;
  /** Of the number: its unit stands beside the field. */
  schema: GenericSchema;
  value: string;
  problem?: FieldProblem | undefined;
  change: (text: string) => void;
}

export function NumberField({ name, label, schema, value, problem, change }: NumberFieldProps) {
  const id = useId();
  const { unit } = rangeOf(schema);
  return (
    <div className="labelled">
      <label htmlFor={id}>
        {t(label)}
        {unit && <span className="soft">{` ${unit}`}</span>}
      </label>
      <input
        id={id}
        name={name}
        className="field"
        dir="ltr"
        inputMode="decimal"
        autoComplete="off"
        value={value}
        aria-invalid={problem !== undefined}
        aria-describedby={problem ? `${id}-says` : undefined}
        onChange={(event) => change(event.target.value)}
      />
      {problem && (
        <p id={`${id}-says`} className="says says--wrong" data-wrong={name}>
          {t(problem.key, problem.values)}
        </p>
      )}
    </div>
  );
}
