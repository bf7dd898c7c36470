/** A figure that an operator reports: typed, or counted down by a tap with cold hands. */
import { useState } from "react";
import type { FieldType, StateField } from "../../../shared/run/facts/reported-fields.ts";
import { useWords } from "../../words/words.ts";

interface NumberReportProps {
  field: StateField;
  type: Extract<FieldType, { is: "number" }>;
  value: number | null;
  onSay: (value: number) => void;
}

export function NumberReport({ field, type, value, onSay }: NumberReportProps) {
  const { least, most, unit, step, taps } = type;
  const { t } = useWords();
  const [typed, setTyped] = useState<string | null>(null);
  const number = typed === null || typed.trim() === "" ? null : Number(typed.replace(",", "."));
  const wrong = number !== null && !(number >= least && number <= most);
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
          {t(`fact.${field}`)}, {unit}
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
        taps.map((by) => (
          <button
            key={by}
            type="button"
            disabled={value === null}
            onClick={() => say(Math.max(least, Math.min(most, (value ?? 0) + by)))}
          >
            <span dir="ltr">{by < 0 ? `−${-by}` : `+${by}`}</span>
          </button>
        ))
      )}
      {wrong ? <p role="alert">{t("rig.report.wrong", { least, most })}</p> : null}
    </form>
  );
}
