/** Messages to all, some or one, and what became of the last ones. */
import { useState } from "react";
import { clockText } from "../../../parts/time-format.ts";
import { MessageForm } from "../message-form.tsx";
import { useRun } from "../use-run.ts";
import { Addressees } from "./addressees.tsx";
import { ReceiptLine } from "./receipt-line.tsx";
import "./say.css";

const LISTED = 3;

export function MessagePanel() {
  const now = useRun();
  const [to, setTo] = useState<readonly string[] | null>(null);
  if (!now) return null;
  return (
    <div className="say-panel">
      <Addressees now={now} rigIds={to} onChange={setTo} />
      <MessageForm rigIds={to} />
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
      </ul>
    </div>
  );
}
