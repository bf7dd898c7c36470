/**
 * What became of a message: which rigs' phones have shown or sounded it, and why the others have not.
 * A phone reports it itself; nothing here is supposed. Pure.
 */
import type { Message } from "../../../../shared/run/state.ts";
import { isQuiet } from "../../../../shared/run/views/quiet.ts";
import type { RigStatus } from "../../../../shared/run/views/rig-status.ts";
import type { RunView } from "../../../../shared/run/views/run-view.ts";

export interface Receipt {
  seen: readonly RigStatus[];
  /** Linked, and shows nothing but its cue now. */
  heldBack: readonly RigStatus[];
  /** Linked, and has not shown it yet. */
  waiting: readonly RigStatus[];
  /** No phone is linked: it is not delivered later (SPEC L3). */
  missed: readonly RigStatus[];
}

export function receiptOf(message: Pick<Message, "rigIds" | "seenBy">, run: RunView): Receipt {
  const to = run.rigs.filter(({ rig }) => message.rigIds?.includes(rig.id) ?? true);
  const seen = to.filter(({ rig }) => Object.hasOwn(message.seenBy, rig.id));
  const others = to.filter((status) => !seen.includes(status));
  const linked = others.filter((status) => status.linked.length > 0);
  const heldBack = linked.filter((status) => isQuiet(run, [status]));
  return {
    seen,
    heldBack,
    waiting: linked.filter((status) => !heldBack.includes(status)),
    missed: others.filter((status) => status.linked.length === 0),
  };
}
