/** What leads have said to an alert, and the buttons to say it: "I'm coming", "Not now", "Seen". */
import { ownValue } from "../../../../shared/fields/own-key.ts";
import { neverShelved } from "../../../../shared/run/alerts/answerable.ts";
import type { KnownAlert } from "../../../../shared/run/state.ts";
import type { AlertAnswer } from "../../../../shared/run/vocabulary.ts";
import { t } from "../../../words/words.ts";
import { Button } from "../button.tsx";
import { useLead } from "../lead-context.ts";
import { personOf } from "../person-of.ts";
import { useOrders } from "../use-order.tsx";
import type { RunNow } from "../use-run.ts";
import type { AlertGroup } from "./alert-groups.ts";

/** How long an alert is put away, s. Common practice, no source. */
const SHELVE_S = 600;

/** As the hub has logged those of a group. */
export function knownOf({ alertIds }: Pick<AlertGroup, "alertIds">, now: RunNow): KnownAlert[] {
  return alertIds.flatMap((id) => ownValue(now.state.alerts, id) ?? []);
}

/** Who has said to be coming; null for nobody. */
export function takerOf(group: Pick<AlertGroup, "alertIds">, now: RunNow): string | null {
  const taken = knownOf(group, now).find(({ takenBy }) => takenBy !== null);
  return taken?.takenBy ? personOf(taken.takenBy) : null;
}

/** Put away until then; null where any of the group is not. */
export function shelvedUntil(group: AlertGroup, now: RunNow): number | null {
  const known = knownOf(group, now);
  if (group.priority === "danger" || known.length < group.alertIds.length) return null;
  const until = Math.min(...known.map(({ shelvedUntilUtcMs }) => shelvedUntilUtcMs ?? 0));
  return until > now.now ? until : null;
}

/** Whether one alert is put away at this instant, by its id. */
export function shelvedNow({ state, now }: Pick<RunNow, "state" | "now">): (alertId: string) => boolean {
  return (alertId) => (ownValue(state.alerts, alertId)?.shelvedUntilUtcMs ?? 0) > now;
}

/** Says the same to all of a group. */
export function useAnswer(): (group: Pick<AlertGroup, "alertIds">, answer: AlertAnswer) => Promise<void> {
  const { give } = useOrders();
  const { view } = useLead();
  return async ({ alertIds }, answer) => {
    // One that is over by now needs no answer any more.
    const known = alertIds.filter((id) => ownValue(view.state?.alerts ?? {}, id));
    for (const alertId of known) await give({ type: "answerAlert", alertId, answer, forS: SHELVE_S });
  };
}

/** Somebody has to go there: who goes is seen by every lead. */
export function TakeButton({ group, now }: { group: Pick<AlertGroup, "alertIds">; now: RunNow }) {
  const answer = useAnswer();
  const { waiting } = useOrders();
  if (knownOf(group, now).length === 0) return null;
  const taker = takerOf(group, now);
  return taker === null ? (
    <Button action="take-alert" disabled={waiting !== null} onClick={() => void answer(group, "taken")}>
      {t("lead.help.answer")}
    </Button>
  ) : (
    <span className="taken" data-taken-by={taker}>
      <strong>{t("lead.alert.taken", { who: taker })}</strong>
      <Button
        action="leave-alert"
        kind="quiet"
        disabled={waiting !== null}
        onClick={() => void answer(group, "left")}
      >
        {t("lead.alert.leave")}
      </Button>
    </span>
  );
}

/** Put away for ten minutes; nothing where eyes hang on it. */
export function ShelveButton({ group, now }: { group: AlertGroup; now: RunNow }) {
  const answer = useAnswer();
  const { waiting } = useOrders();
  const known = knownOf(group, now);
  if (known.length < group.alertIds.length || known.some(neverShelved) || neverShelved(group)) return null;
  return (
    <Button
      action="shelve-alert"
      kind="quiet"
      disabled={waiting !== null}
      onClick={() => void answer(group, "shelved")}
    >
      {t("lead.alert.shelve")}
    </Button>
  );
}
