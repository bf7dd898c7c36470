/** A line of text with its label, and beneath it what is wrong with it. */
import { type Ref, useId } from "react";
import { t, type WordKey } from "../words/words.ts";
import type { FieldProblem } from "./field-range.ts";

export interface TextFieldProps {
  name: string;
  label: WordKey;
  value: string;
  problem?: FieldProblem | undefined;
  /** Characters at most (lengthOf of the schema); left out where a number is typed. */
  most?: number;
  /** Figures and codes are written from left to right in every language. */
  figures?: boolean;
  /** Stands beside the label; "" for none. */
  unit?: string;
  inputMode?: "decimal";
  field?: Ref<HTMLInputElement> | undefined;
  change: (text: string) => void;
  /** The field is left. */
  left?: () => void;
}

export function TextField(props: TextFieldProps) {
  const { name, label, value, problem, most, figures = false, unit, inputMode, field, change, left } = props;
  const id = useId();
  return (
    <div className="labelled">
      <label htmlFor={id}>
        {t(label)}
        {unit && <span className="soft">{` ${unit}`}</span>}
      </label>
      <input
        ref={field}
        id={id}
        name={name}
        className="field"
        dir={figures ? "ltr" : undefined}
        inputMode={inputMode}
        autoComplete="off"
        maxLength={most}
        value={value}
        aria-invalid={problem !== undefined}
        aria-describedby={problem ? `${id}-says` : undefined}
        onChange={(event) => change(event.target.value)}
        onBlur={left}
      />
      {problem && (
        <p id={`${id}-says`} className="says says--wrong" data-wrong={name}>
          {t(problem.key, problem.values)}
        </p>
      )}
    </div>
  );
}
