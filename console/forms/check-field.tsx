/** A box to tick with its words beside it. */
import { t, type WordKey } from "../words/words.ts";

interface CheckFieldProps {
  name: string;
  label: WordKey;
  value: boolean;
  disabled?: boolean;
  change: (on: boolean) => void;
}

export function CheckField({ name, label, value, disabled, change }: CheckFieldProps) {
  return (
    <label className="check">
      <input
        type="checkbox"
        name={name}
        checked={value}
        disabled={disabled}
        onChange={(event) => change(event.target.checked)}
      />
      <span>{t(label)}</span>
    </label>
  );
}
