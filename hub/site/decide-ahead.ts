/**
 * A save that concerns every rig is decided ahead of its turn, in pieces between which reports and
 * calls go on: to settle sixty rigs takes tens of milliseconds. It counts if nothing that it was
 * made from has changed meanwhile; else it is decided again, in one go.
 */
import type { Steps } from "../../shared/eclipse/steps.ts";
import { hasFilter } from "../../shared/plan/safety/allowance.ts";
import type { Payloads } from "../../shared/run/events.ts";
import type { Order } from "../../shared/run/orders/commands.ts";
import { decidePlanSteps } from "../../shared/run/orders/decide-plan.ts";
import type { Context, Decision } from "../../shared/run/orders/decision.ts";
import type { SiteState } from "../../shared/run/state.ts";
import { keepPayloadText } from "../log/payload-text.ts";
import { pieceOf, withRests } from "../with-rests.ts";

export type WholeSave = Extract<Order, { type: "savePlan" | "saveSite" }>;

export interface DecidedAhead {
  /** The state that it was decided from. */
  from: SiteState;
  decision: Decision;
}

/** At once where one piece will do; undefined when deciding it meets a bug. */
export function decideAhead(
  from: SiteState,
  order: WholeSave,
  context: Context,
): DecidedAhead | Promise<DecidedAhead> | undefined {
  const steps = decideAndWrite(from, order, context);
  try {
    const done = pieceOf(steps);
    if (done) return { from, decision: done.result };
  } catch {
    return undefined;
  }
  return withRests(steps).then((decision) => ({ from, decision }));
}

/** Its events are made into text, too, as the log will need them. */
function* decideAndWrite(from: SiteState, order: WholeSave, context: Context): Steps<Decision> {
  const decision = yield* decidePlanSteps(from, order, context);
  if ("refusal" in decision) return decision;
  for (const { payload } of decision.events) {
    keepPayloadText(payload as object);
    yield;
  }
  return decision;
}

/** Whether all that a save of the plan is decided from is as it was. */
export function stillHolds({ from, decision }: DecidedAhead, now: SiteState): boolean {
  return (
    (from.runs === now.runs || !takesFilterAway(decision)) &&
    from.plan === now.plan &&
    from.planParts === now.planParts &&
    from.circumstances === now.circumstances &&
    from.practice === now.practice &&
    from.realRunId === now.realRunId
  );
}

/** Only this hangs on what rigs report (S9). */
function takesFilterAway(decision: Decision): boolean {
  if ("refusal" in decision) return decision.refusal.rule === "S9";
  return decision.events.some(
    ({ type, payload }) =>
      type === "rigRemoved" || (type === "rigPlanned" && !hasFilter((payload as Payloads["rigPlanned"]).rig)),
  );
}
