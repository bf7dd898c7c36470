/**
 * A save that concerns every rig is decided ahead of its turn, in pieces between which reports and
 * calls go on: to settle sixty rigs takes tens of milliseconds. It counts if nothing that it was
 * made from has changed meanwhile; else it is decided again, in one go.
 */
import { setImmediate as otherWork } from "node:timers/promises";
import type { Steps } from "../../shared/eclipse/steps.ts";
import type { Order } from "../../shared/run/orders/commands.ts";
import { decidePlanSteps } from "../../shared/run/orders/decide-plan.ts";
import type { Context, Decision } from "../../shared/run/orders/decision.ts";
import type { SiteState } from "../../shared/run/state.ts";

export type WholeSave = Extract<Order, { type: "savePlan" | "saveSite" }>;

export interface DecidedAhead {
  /** The state that it was decided from. */
  from: SiteState;
  decision: Decision;
}

/** How long a piece of a decision may hold others up, ms. */
const PIECE_MS = 3;

/** At once where one piece will do; undefined when deciding it meets a bug. */
export function decideAhead(
  from: SiteState,
  order: WholeSave,
  context: Context,
): DecidedAhead | Promise<DecidedAhead> | undefined {
  const steps = decidePlanSteps(from, order, context);
  try {
    const decision = aPieceOf(steps);
    if (decision) return { from, decision };
  } catch {
    return undefined;
  }
  const goOn = async (): Promise<DecidedAhead> => {
    for (;;) {
      await otherWork();
      const decision = aPieceOf(steps);
      if (decision) return { from, decision };
    }
  };
  return goOn();
}

/** Whether all that a save of the plan is decided from is as it was. */
export function stillHolds({ from }: DecidedAhead, now: SiteState): boolean {
  return (
    from.plan === now.plan &&
    from.planParts === now.planParts &&
    from.circumstances === now.circumstances &&
    from.practice === now.practice &&
    from.realRunId === now.realRunId
  );
}

/** Goes on with a decision for a while; undefined while there is more to do. */
function aPieceOf(steps: Steps<Decision>): Decision | undefined {
  const since = performance.now();
  for (;;) {
    const step = steps.next();
    if (step.done) return step.value;
    if (performance.now() - since > PIECE_MS) return undefined;
  }
}
