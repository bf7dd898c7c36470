/** A message to every rig, or to one. It is never delivered late: phones that are away miss it. */
import { type FormEvent, useId, useState } from "react";
import { lengthOf } from "../../../shared/fields/text.ts";
import { MessageText } from "../../../shared/run/orders/commands.ts";
import { t } from "../../words/words.ts";
import { Button } from "./button.tsx";
import { useOrders } from "./use-order.tsx";

export function MessageForm(props: { rigId: string | null; done?: () => void }) {
  const id = useId();
  const { give, waiting } = useOrders();
  const [text, setText] = useState("");
  const [sent, setSent] = useState(false);
  async function send(event: FormEvent) {
    event.preventDefault();
    const rigIds = props.rigId === null ? null : [props.rigId];
    if (!(await give({ type: "sendMessage", text: text.trim(), rigIds }))) return;
    setText("");
    setSent(true);
    props.done?.();
  }
  return (
    <form className="message-form" onSubmit={send}>
      <label htmlFor={id}>{t(props.rigId === null ? "lead.message.toAll" : "lead.message.toRig")}</label>
      <input
        id={id}
        className="field"
        maxLength={lengthOf(MessageText)}
        required
        autoComplete="off"
        value={text}
        onChange={(event) => {
          setText(event.target.value);
          setSent(false);
        }}
      />
      <Button action="send-message" type="submit" disabled={text.trim() === "" || waiting !== null}>
        {t("lead.message.send")}
      </Button>
      {sent && <span role="status">{t("lead.message.sent")}</span>}
    </form>
  );
}
