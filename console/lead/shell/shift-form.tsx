/**
 * Shifts a contact of the run that is on by some seconds. A shift is counted from the prediction,
 * so giving 0 takes it back; none ever delays filter-on cues (S5).
 */
import { type FormEvent, useState } from "react";
import type { ContactName } from "../../../shared/eclipse/circumstances-types.ts";
import { contactsOf } from "../../../shared/run/effective-contacts.ts";
import { ShiftS } from "../../../shared/run/orders/commands.ts";
import { currentRun } from "../../../shared/run/run-time.ts";
import { readWithin } from "../../forms/field-range.ts";
import { clockText } from "../../parts/time-format.ts";
import { t } from "../../words/words.ts";
import { Button } from "./button.tsx";
import { useLead } from "./lead-context.ts";
import { useOrders } from "./use-order.tsx";

const NAMES: readonly ContactName[] = ["c1", "c2", "max", "c3", "c4"];

export function ShiftForm(props: { done: () => void }) {
  const { session, view } = useLead();
  const { give, waiting } = useOrders();
  const { state } = view;
  const run = state ? currentRun(state, session.now()) : null;
  const contacts = state && run ? contactsOf(state, run) : null;
  const here = NAMES.filter((name) => contacts?.[name] != null);
  const [contact, setContact] = useState<ContactName>(here.includes("c2") ? "c2" : (here[0] ?? "max"));
  const standing = (run?.shifts[contact] ?? 0) / 1000;
  const [text, setText] = useState("");
  const shiftS = readWithin(ShiftS, text);

  async function shift(event: FormEvent) {
    event.preventDefault();
    if (shiftS !== null && (await give({ type: "shiftContact", contact, shiftS }))) props.done();
  }
  return (
    <form className="shift-form" onSubmit={shift}>
      <label>
        {t("lead.shift.contact")}
        <select
          className="field"
          value={contact}
          onChange={(event) => setContact(event.target.value as ContactName)}
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
          placeholder={standing === 0 ? "−3" : String(standing)}
          value={text}
          aria-invalid={text !== "" && shiftS === null}
          onChange={(event) => setText(event.target.value)}
        />
      </label>
      <Button action="shift-contact" type="submit" disabled={shiftS === null || waiting !== null}>
        {t("lead.shift.do")}
      </Button>
      {standing !== 0 && (
        <Button
          action="shift-none"
          onClick={async () => {
            if (await give({ type: "shiftContact", contact, shiftS: 0 })) props.done();
          }}
        >
          {t("lead.shift.none", { seconds: standing })}
        </Button>
      )}
      <p className="says">{t("lead.shift.says")}</p>
    </form>
  );
}
