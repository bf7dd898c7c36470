/** The button of an alert: what can be done about it from here, named by who is meant. */

import { practisedStep } from "../../../../shared/run/doubt.ts";
import { t } from "../../../words/words.ts";
import { Button } from "../button.tsx";
import { useLead } from "../lead-context.ts";
import { go } from "../route.ts";
import { useOrders } from "../use-order.tsx";
import type { RunNow } from "../use-run.ts";
import { useSend } from "../use-send.ts";
import { answerTo } from "./alert-answer.ts";
import type { AlertGroup } from "./alert-groups.ts";
import { TakeButton, takerOf, useAnswer } from "./answers-given.tsx";
import { SayButton } from "./say-button.tsx";

/** What a practised step of a clock raises: answered here, since no clock was set. */
const CLOCKS: ReadonlySet<AlertGroup["cause"]> = new Set(["clock-stepped", "clock-disputed"]);

interface AlertActionProps {
  group: AlertGroup;
  now: RunNow;
  /** One button: words where a phone hears them, else who goes. */
  compact: boolean;
}

export function AlertAction({ group, now, compact }: AlertActionProps) {
  const { give, waiting } = useOrders();
  const rigs = group.rigIds.flatMap((id) => now.run.rigs.find(({ rig }) => rig.id === id) ?? []);
  const unreached = rigs.every((status) => status.linked.length === 0);
  const answer = answerTo(group.cause, rigs);
  const answerAlert = useAnswer();
  const { view } = useLead();
  const { send } = useSend();
  const comeTo = async (rigIds: readonly string[]) => {
    await answerAlert(group, "taken");
    for (const rigId of rigIds) await give({ type: "answerHelp", rigId });
  };
  if (CLOCKS.has(group.cause) && practisedStep(now.run.run, now.now) && !view.clockHealth.stepped)
    return (
      <Button
        action="clock-compared"
        onClick={() => void send("POST", "/api/practice/faults/over", { kind: "clock stepped" })}
      >
        {t("lead.alert.compared")}
      </Button>
    );
  switch (answer.is) {
    case "come":
      return <TakeButton group={group} now={now} />;
    case "help":
      return (
        <Button action="answer-help" disabled={waiting !== null} onClick={() => void comeTo(answer.rigIds)}>
          {t("lead.help.answer")}
        </Button>
      );
    case "say":
      return (
        <>
          {(!compact || !unreached) && (
            <SayButton rigs={rigs} text={answer.text} ask={answer.ask} now={now} />
          )}
          {(!compact || unreached || takerOf(group, now) !== null) && <TakeButton group={group} now={now} />}
        </>
      );
    case "open":
      return (
        <Button
          action={answer.screen === "array" ? "open-rig" : "open-cause"}
          onClick={() => go(answer.screen, answer.item)}
        >
          {t(answer.screen === "join-sheet" ? "lead.alert.joinSheet" : "lead.array.open")}
        </Button>
      );
  }
}
