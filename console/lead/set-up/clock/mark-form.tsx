/**
 * "Set at the mark": the lead says which UTC a watch or the radio's pips will show, and presses
 * when it does. Several marks are averaged by the hub, their scatter giving the bound; a wrong one
 * spoils them all, so that they can be forgotten.
 */
import { type FormEvent, useId, useState } from "react";
import { clockText } from "../../../parts/time-format.ts";
import { t } from "../../../words/words.ts";
import { Button } from "../../shell/button.tsx";
import { useLead } from "../../shell/lead-context.ts";
import { nextMarkMs, readTimeOfDay } from "./read-time-of-day.ts";

/** `forget`: null when there are no marks. */
export function MarkForm(props: {
  mark: (utcMs: number) => Promise<boolean>;
  forget: (() => Promise<boolean>) | null;
}) {
  const id = useId();
  const { session } = useLead();
  const [text, setText] = useState(() => `${clockText(Math.ceil(session.now() / 60_000 + 0.25) * 60_000)}`);
  const [says, setSays] = useState("");
  const time = readTimeOfDay(text);
  const usable = time !== null;

  async function press(event: FormEvent) {
    event.preventDefault();
    if (time === null) return;
    // The press is the mark: the instant is sent at once, and the hub notes when it came.
    const ok = await props.mark(nextMarkMs(time, session.now()));
    if (!ok) return;
    setSays(t("lead.mark.done", { time: text }));
    setText(clockText(nextMarkMs(time, session.now()) + 60_000));
  }
  return (
    <form className="mark-form" onSubmit={press}>
      <div className="labelled">
        <label htmlFor={id}>{t("lead.mark.time")}</label>
        <input
          id={id}
          name="mark"
          className="field field--short"
          dir="ltr"
          value={text}
          aria-invalid={!usable}
          onChange={(event) => setText(event.target.value)}
        />
      </div>
      <button type="submit" className="button button--main" data-action="mark" disabled={!usable}>
        {t("lead.mark.press")}
      </button>
      {props.forget && (
        <Button
          action="forget-marks"
          kind="quiet"
          onClick={() => void props.forget?.().then((ok) => ok && setSays(""))}
        >
          {t("lead.mark.forget")}
        </Button>
      )}
      <p className="says" aria-live="polite">
        {says || t("lead.mark.says")}
      </p>
    </form>
  );
}
