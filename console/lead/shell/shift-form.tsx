/**
 * Shifts a contact of the run that is on, in tenths of a second and with a reason that stands in the
 * record. Only what is ahead can be moved. A shift is counted from the prediction, so giving 0 takes it
 * back; none ever delays filter-on cues (S5).
 */
import { type FormEvent, useState } from "react";
import type { ContactName } from "../../../shared/eclipse/circumstances-types.ts";
import { lengthOf } from "../../../shared/fields/text.ts";
import { isAhead } from "../../../shared/run/effective-contacts.ts";
import { MessageText, ShiftS } from "../../../shared/run/orders/commands.ts";
import { readWithin } from "../../forms/field-range.ts";
import { clockText } from "../../parts/time-format.ts";
import { t } from "../../words/words.ts";
import { Button } from "./button.tsx";
import { useOrders } from "./use-order.tsx";
import { useRun } from "./use-run.ts";

/** Steps of the buttons beside the figure, s. */
const STEPS_S = [-1, -0.1, 0.1, 1] as const;
const NAMES: readonly ContactName[] = ["c1", "c2", "max", "c3", "c4"];

/** The contact that a form is about: once the chosen one has passed the next, as the list shows it. */
export function contactToShift(chosen: ContactName | null, here: readonly ContactName[]): ContactName {
  if (chosen !== null && here.includes(chosen)) return chosen;
  return chosen === null && here.includes("c2") ? "c2" : (here[0] ?? "max");
}

export function ShiftForm(props: { done: () => void }) {
  const { give, waiting } = useOrders();
  const view = useRun()?.run;
  const contacts = view?.contacts;
  const here = NAMES.filter(
    (name) => view && view.contacts[name] !== null && isAhead(view.contacts, name, view.runNow),
  );
  const [chosen, setChosen] = useState(() => contactToShift(null, here));
  const contact = contactToShift(chosen, here);
  const standing = (view?.run.shifts[contact] ?? 0) / 1000;
  const [text, setText] = useState("");
  const [reason, setReason] = useState("");
  const read = readWithin(ShiftS, text);
  const shiftS = read === null ? null : Math.round(read * 10) / 10;
  const step = (s: number) =>
    setText(String(Math.round(((readWithin(ShiftS, text) ?? standing) + s) * 10) / 10).replace("-", "−"));

  async function shift(event: FormEvent) {
    event.preventDefault();
    const why = reason.trim();
    if (shiftS !== null && why && (await give({ type: "shiftContact", contact, shiftS, reason: why })))
      props.done();
  }
  return (
    <form className="shift-form" onSubmit={shift}>
      <label>
        {t("lead.shift.contact")}
        <select
          className="field"
          value={contact}
          onChange={(event) => setChosen(event.target.value as ContactName)}
        >
          {here.map((name) => (
            <option key={name} value={name}>
              {t(`lead.contact.${name}`)} {clockText(contacts?.[name] ?? 0)}
            </option>
          ))}
        </select>
      </label>
      <label>
        {t("lead.shift.seconds")}
        <input
          className="field field--short"
          dir="ltr"
          inputMode="text"
          placeholder={standing === 0 ? "−0.4" : String(standing)}
          value={text}
          aria-invalid={text !== "" && shiftS === null}
          onChange={(event) => setText(event.target.value)}
        />
      </label>
      {STEPS_S.map((s) => (
        <Button key={s} action={`shift-by-${s}`} onClick={() => step(s)}>
          <bdi>{`${s < 0 ? "−" : "+"}${Math.abs(s)}`}</bdi>
        </Button>
      ))}
      <label className="shift-form__reason">
        {t("lead.shift.reason")}
        <input
          className="field"
          name="shift-reason"
          maxLength={lengthOf(MessageText)}
          value={reason}
          onChange={(event) => setReason(event.target.value)}
        />
      </label>
      <Button
        action="shift-contact"
        type="submit"
        disabled={shiftS === null || reason.trim() === "" || waiting !== null}
      >
        {t("lead.shift.do")}
      </Button>
      {standing !== 0 && (
        <Button
          action="shift-none"
          onClick={async () => {
            const back = {
              type: "shiftContact",
              contact,
              shiftS: 0,
              reason: t("lead.shift.backReason"),
            } as const;
            if (await give(back)) props.done();
          }}
        >
          {t("lead.shift.none", { seconds: standing })}
        </Button>
      )}
      <p className="says">{t("lead.shift.says")}</p>
    </form>
  );
}
