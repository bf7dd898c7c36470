/** "seen by 3 of 4", and who has not and why. */
import type { Message } from "../../../../shared/run/state.ts";
import { t } from "../../../words/words.ts";
import type { RunNow } from "../use-run.ts";
import { receiptOf } from "./receipt.ts";
import { namesOf } from "./who.ts";
import "./say.css";

export function ReceiptLine({ message, now }: { message: Message; now: RunNow }) {
  const { seen, heldBack, waiting, missed } = receiptOf(message, now.run);
  const all = seen.length + heldBack.length + waiting.length + missed.length;
  const others = [
    waiting.length > 0 && t("lead.receipt.waiting", { who: namesOf(waiting) }),
    heldBack.length > 0 && t("lead.receipt.heldBack", { who: namesOf(heldBack) }),
    missed.length > 0 && t("lead.receipt.missed", { who: namesOf(missed) }),
  ].filter(Boolean);
  return (
    <span className="receipt" data-receipt={message.messageId} data-seen={seen.length} data-of={all}>
      {[t("lead.receipt.seen", { seen: seen.length, all }), ...others].join(" · ")}
    </span>
  );
}
