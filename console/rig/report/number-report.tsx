/** A figure that an operator reports: typed, or counted down by a tap with cold hands. */
import { useState } from "react";
import { useWords } from "../../words/words.ts";

interface NumberReportProps {
  field: string;
  label: string;
  unit: string;
  most: number;
  step: number;
  value: number | null;
  /** What the buttons add. */
  steps: readonly number[];
  onSay: (value: number) => void;
}

export function NumberReport({ field, label, unit, most, step, value, steps, onSay }: NumberReportProps) {
  const { t } = useWords();
  const [typed, setTyped] = useState<string | null>(null);
  const number = typed === null || typed.trim() === "" ? null : Number(typed.replace(",", "."));
  const wrong = number !== null && !(number >= 0 && number <= most);
  const say = (next: number): void => {
    setTyped(null);
    onSay(next);
  };
  return (
    <form
      className="rig-number"
      data-field={field}
      onSubmit={(event) => {
        event.preventDefault();
        if (number !== null && !wrong) say(number);
      }}
    >
      <label>
        <span>
          {label}, {unit}
        </span>
        <input
          type="text"
          inputMode="decimal"
          autoComplete="off"
          data-step={step}
          aria-invalid={wrong}
          placeholder={value === null ? "?" : undefined}
          value={typed ?? (value === null ? "" : String(Math.round(value * 10) / 10))}
          onChange={(event) => setTyped(event.currentTarget.value)}
        />
      </label>
      {typed !== null ? (
        <button type="submit" className="rig-say" disabled={number === null || wrong}>
          {t("rig.report.say")}
        </button>
      ) : (
        steps.map((by) => (
          <button
            key={by}
            type="button"
            disabled={value === null}
            onClick={() => say(Math.max(0, Math.min(most, (value ?? 0) + by)))}
          >
            <span dir="ltr">{by < 0 ? `−${-by}` : `+${by}`}</span>
          </button>
        ))
      )}
      {wrong ? <p role="alert">{t("rig.report.wrong", { most })}</p> : null}
    </form>
  );
}
