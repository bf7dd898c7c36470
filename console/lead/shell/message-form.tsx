/**
 * A message to rigs, null for all of them. It is never delivered late: phones that are away miss it, and
 * those near a cue show it after that; an urgent one is sounded there.
 */
import { type FormEvent, useId, useState } from "react";
import { lengthOf } from "../../../shared/fields/text.ts";
import { MessageText } from "../../../shared/run/orders/commands.ts";
import { t } from "../../words/words.ts";
import { Button } from "./button.tsx";
import { tellOnce } from "./say/tell-once.ts";
import { useOrders } from "./use-order.tsx";

interface MessageFormProps {
  rigIds: readonly string[] | null;
  /** Says it to marshals, too; true when the hub has it. */
  tellMarshals?: (text: string) => Promise<boolean>;
}

export function MessageForm(props: MessageFormProps) {
  const id = useId();
  const { give, waiting } = useOrders();
  const [text, setText] = useState("");
  const [urgent, setUrgent] = useState(false);
  const [sent, setSent] = useState(false);
  const toRigs = props.rigIds === null || props.rigIds.length > 0;
  const [tell] = useState(tellOnce);
  const [telling, setTelling] = useState(false);
  async function send(event: FormEvent) {
    event.preventDefault();
    const { tellMarshals } = props;
    const words = text.trim();
    const order = {
      ...{ type: "sendMessage" as const, text: words, rigIds: props.rigIds && [...props.rigIds] },
      ...(urgent ? { urgent } : {}),
    };
    setTelling(true);
    const told = await tell(
      JSON.stringify(order),
      toRigs ? () => give(order) : null,
      tellMarshals ? () => tellMarshals(words) : null,
    );
    setTelling(false);
    if (!told) return;
    setText("");
    setUrgent(false);
    setSent(true);
  }
  return (
    <form className="message-form" onSubmit={send}>
      <label htmlFor={id}>
        {t(
          props.rigIds === null
            ? "lead.message.toAll"
            : props.rigIds.length === 1
              ? "lead.message.toRig"
              : "lead.message.toSome",
        )}
      </label>
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
      <Button
        action="send-message"
        type="submit"
        disabled={text.trim() === "" || !(toRigs || props.tellMarshals) || telling || waiting !== null}
      >
        {t("lead.message.send")}
      </Button>
      <label className="message-form__urgent">
        <input
          type="checkbox"
          name="urgent"
          checked={urgent}
          onChange={(event) => setUrgent(event.target.checked)}
        />
        {t("lead.message.urgent")}
      </label>
      {sent && <span role="status">{t("lead.message.sent")}</span>}
    </form>
  );
}
