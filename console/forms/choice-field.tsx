/** One of several, with its label. */
import { useId } from "react";
import { t, type WordKey } from "../words/words.ts";

interface ChoiceFieldProps<Value extends string> {
  name: string;
  label: WordKey;
  value: Value;
  /** Stands before the options for "": nothing chosen. */
  none?: WordKey;
  options: readonly (readonly [value: Value, words: string])[];
  change: (value: Value) => void;
}

export function ChoiceField<Value extends string>(props: ChoiceFieldProps<Value>) {
  const id = useId();
  return (
    <div className="labelled">
      <label htmlFor={id}>{t(props.label)}</label>
      <select
        id={id}
        name={props.name}
        className="field"
        value={props.value}
        onChange={(event) => props.change(event.target.value as Value)}
      >
        {props.none && <option value="">{t(props.none)}</option>}
        {props.options.map(([value, words]) => (
          <option key={value} value={value}>
            {words}
          </option>
        ))}
      </select>
    </div>
  );
}
