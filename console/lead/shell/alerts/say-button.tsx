/**
 * "Remind Ada", "Ask 5 rigs": words to the phones of these rigs, and what became of them. A phone shows
 * nothing but its cue near one, so it is sounded there, and nothing is called seen before a phone says so.
 */
import type { RigStatus } from "../../../../shared/run/views/rig-status.ts";
import { t } from "../../../words/words.ts";
import { Button } from "../button.tsx";
import { ReceiptLine } from "../say/receipt-line.tsx";
import { whoOf } from "../say/who.ts";
import { useOrders } from "../use-order.tsx";
import type { RunNow } from "../use-run.ts";

/** For so long what became of it stands beside the button, ms. */
const TOLD_MS = 2 * 60_000;

interface SayButtonProps {
  rigs: readonly RigStatus[];
  text: string;
  ask: boolean;
  now: RunNow;
}

export function SayButton({ rigs, text, ask, now }: SayButtonProps) {
  const { give, waiting } = useOrders();
  const linked = rigs.filter((status) => status.linked.length > 0);
  if (linked.length === 0) return <span data-said="no phone">{t("glance.noPhone")}</span>;
  const rigIds = linked.map(({ rig }) => rig.id);
  const last = now.state.messages.findLast(
    (message) =>
      message.text === text &&
      now.now - message.sentUtcMs < TOLD_MS &&
      rigIds.every((id) => message.rigIds?.includes(id)),
  );
  return (
    <span className="say-button">
      <Button
        action={ask ? "ask" : "remind"}
        disabled={waiting !== null}
        // Near a cue a phone shows nothing but that: it is sounded, and seen when the operator looks.
        onClick={() => void give({ type: "sendMessage", text, rigIds, urgent: true })}
      >
        {t(ask ? "lead.say.ask" : "lead.say.remind", { who: whoOf(rigs) })}
      </Button>
      {last && <ReceiptLine message={last} now={now} />}
    </span>
  );
}
