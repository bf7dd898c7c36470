/** Messages to all, some or one, and to marshals, and what became of the last ones. */
import { useState } from "react";
import { clockText } from "../../../parts/time-format.ts";
import { t } from "../../../words/words.ts";
import { MessageForm } from "../message-form.tsx";
import { ProblemLine } from "../problem-line.tsx";
import { useMarshalDesk } from "../use-marshal-desk.ts";
import { useRun } from "../use-run.ts";
import { Addressees } from "./addressees.tsx";
import { ReceiptLine } from "./receipt-line.tsx";
import "./say.css";

const LISTED = 3;

export function MessagePanel() {
  const now = useRun();
  const desk = useMarshalDesk();
  const [to, setTo] = useState<readonly string[] | null>(null);
  const [marshals, setMarshals] = useState(false);
  if (!now) return null;
  const told = desk.now?.words.slice(0, 1) ?? [];
  return (
    <div className="say-panel">
      <Addressees now={now} marshals={marshals} onMarshals={setMarshals} rigIds={to} onChange={setTo} />
      <MessageForm rigIds={to} {...(marshals ? { tellMarshals: desk.tell } : {})} />
      <ProblemLine problem={desk.problem} />
      <ul className="say-panel__sent">
        {now.state.messages
          .slice(-LISTED)
          .reverse()
          .map((message) => (
            <li key={message.messageId}>
              <span className="figures">{clockText(message.sentUtcMs)}</span> “{message.text}”{" "}
              <ReceiptLine message={message} now={now} />
            </li>
          ))}
        {told.map(({ id, text, atUtcMs, seen, of }) => (
          <li key={id} data-told-marshals={id} data-seen={seen} data-of={of}>
            <span className="figures">{clockText(atUtcMs)}</span> {t("lead.marshals.title")}: “{text}”{" "}
            {t("lead.receipt.seen", { seen, all: of })}
          </li>
        ))}
      </ul>
    </div>
  );
}
