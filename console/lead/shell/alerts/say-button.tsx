/**
 * "Remind Ada", "Ask the 5": words to the phones of these rigs, and what became of them. A phone shows
 * nothing but its cue near one, so nothing is called told before a phone has shown it.
 */
import { useState } from "react";
import { isQuiet } from "../../../../shared/run/views/quiet.ts";
import type { RigStatus } from "../../../../shared/run/views/rig-status.ts";
import { t } from "../../../words/words.ts";
import { Button } from "../button.tsx";
import { useOrders } from "../use-order.tsx";
import type { RunNow } from "../use-run.ts";

interface SayButtonProps {
  rigs: readonly RigStatus[];
  text: string;
  ask: boolean;
  now: RunNow;
}

export function SayButton({ rigs, text, ask, now }: SayButtonProps) {
  const { give, waiting } = useOrders();
  const [sent, setSent] = useState(false);
  const linked = rigs.filter((status) => status.linked.length > 0);
  if (linked.length === 0) return <span data-said="no phone">{t("glance.noPhone")}</span>;
  if (linked.every((status) => isQuiet(now.run, [status])))
    return <span data-said="held back">{t("lead.say.byVoice", { who: whoOf(rigs) })}</span>;
  const rigIds = linked.map(({ rig }) => rig.id);
  return (
    <Button
      action={ask ? "ask" : "remind"}
      disabled={waiting !== null}
      onClick={() => void give({ type: "sendMessage", text, rigIds }).then(setSent)}
    >
      {sent ? t("lead.say.sent") : t(ask ? "lead.say.ask" : "lead.say.remind", { who: whoOf(rigs) })}
    </Button>
  );
}

/** The operator, or the rig where nobody is named; of several how many. */
export function whoOf(rigs: readonly Pick<RigStatus, "rig">[]): string {
  const people = new Set(rigs.map(({ rig }) => rig.operator || rig.name));
  const [only] = people;
  return people.size === 1 && only ? only : t("lead.say.several", { count: rigs.length });
}
