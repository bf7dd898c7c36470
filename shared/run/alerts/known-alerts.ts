/**
 * Alerts as they were logged, with what leads have said to them (SPEC R21): who has taken one, who has
 * seen it, until when it is shelved. One that gets worse or better stays taken, but is seen and shelved
 * no more. Danger that is over before anybody said to have seen it is kept until somebody does. Pure.
 */
import { ownValue } from "../../fields/own-key.ts";
import type { SiteEvent } from "../events.ts";
import type { KnownAlert } from "../state.ts";

type Known = Readonly<Record<string, KnownAlert>>;
type Change = Extract<SiteEvent, { type: "alertRaised" | "alertCleared" | "alertAnswered" }>;

export function alertsAfter(before: Known, { type, payload, loggedUtcMs, runId }: Change): Known {
  const id = type === "alertAnswered" ? payload.alertId : payload.id;
  const old = ownValue(before, id);
  const over = old?.overUtcMs != null;
  const becomes = (alert: KnownAlert): Known => ({ ...before, [id]: alert });
  if (type === "alertRaised")
    return becomes({
      ...payload,
      runId,
      answeredIn: old?.answeredIn ?? null,
      takenBy: over ? null : (old?.takenBy ?? null),
      seenBy: null,
      shelvedUntilUtcMs: null,
      overUtcMs: null,
    });
  if (!old) return before;
  const { [id]: _gone, ...others } = before;
  if (type === "alertCleared") {
    // Of another priority: that one stands still.
    if (over || old.priority !== payload.priority) return before;
    return old.priority === "danger" && !old.seenBy ? becomes({ ...old, overUtcMs: loggedUtcMs }) : others;
  }
  const { answer, by, untilUtcMs } = payload;
  if (over) return answer === "seen" ? others : before;
  return becomes({
    ...old,
    answeredIn: runId,
    seenBy: old.seenBy ?? by,
    takenBy: answer === "taken" ? by : answer === "left" ? null : old.takenBy,
    shelvedUntilUtcMs: answer === "shelved" || answer === "back" ? untilUtcMs : old.shelvedUntilUtcMs,
  });
}

/**
 * What a practice raised of its rigs ends with it: what still stands is raised anew in the real run. Real
 * optics that are open under the real Sun are no part of it, nor is what the site and the hub say of
 * themselves; of those only what leads said in the practice is gone.
 */
export function alertsAfterPractice(before: Known, runId: string): Known {
  const stay = Object.entries(before).filter(
    ([, { rigId, cause, runId: of }]) => of !== runId || rigId === null || cause === "practice-off-real-sun",
  );
  return Object.fromEntries(
    stay.map(([id, alert]) => [
      id,
      alert.answeredIn === runId
        ? { ...alert, answeredIn: null, takenBy: null, seenBy: null, shelvedUntilUtcMs: null }
        : alert,
    ]),
  );
}
