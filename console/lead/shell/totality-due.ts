/** When the call of totality by eye is what the lead is there for: its button is large then. */
import { standingTotality } from "../../../shared/run/orders/calls.ts";
import type { RunView } from "../../../shared/run/views/run-view.ts";

/** From so long before C2 to so long after it, seconds: what a call of totality may move (S6, R2). */
const FROM_S = -5;
const UNTIL_S = 15;

export function isTotalityDue({
  contacts,
  run,
  runNow,
}: Pick<RunView, "contacts" | "run" | "runNow">): boolean {
  const { plannedC2 } = contacts;
  if (plannedC2 === null || standingTotality(run.calls)) return false;
  const s = (runNow - plannedC2) / 1000;
  return s >= FROM_S && s < UNTIL_S;
}
