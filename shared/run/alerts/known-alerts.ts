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
    runId,
    seenBy: old.seenBy ?? by,
    takenBy: answer === "taken" ? by : answer === "left" ? null : old.takenBy,
    shelvedUntilUtcMs: answer === "shelved" || answer === "back" ? untilUtcMs : old.shelvedUntilUtcMs,
  });
}

/**
 * What a practice raised, and what leads said in it, ends with it: what still stands is raised anew in the
 * real run. Danger that went by unseen stays where it was none of the practice: of the site, of the hub, and
 * real optics that were open under the real Sun.
 */
export function alertsAfterPractice(before: Known, runId: string): Known {
  return Object.fromEntries(
    Object.entries(before).filter(
      ([, { rigId, cause, overUtcMs, runId: of }]) =>
        of !== runId || (overUtcMs !== null && (rigId === null || cause === "practice-off-real-sun")),
    ),
  );
}
