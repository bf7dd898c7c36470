/**
 * Who has answered a roll call: a rig's newest word on its readiness counts if it was said after the
 * call, by the clock of whoever said it. One that came too late is an answer, and late. Pure.
 */
import type { UtcMs } from "../../time/instants.ts";
import { recordOf } from "../facts/rig-record.ts";
import type { RollCall, RunRecord, SiteState } from "../state.ts";
import type { READINESS } from "../vocabulary.ts";

export interface RollAnswer {
  rigId: string;
  /** "ready", what is lacking, or null while nobody has answered. */
  ready: (typeof READINESS)[number] | null;
  atUtcMs: UtcMs | null;
  late: boolean;
}

/** One for each rig that was asked, in the plan's order. */
export function rollAnswers(state: SiteState, run: RunRecord, roll: RollCall): RollAnswer[] {
  return state.plan.rigs
    .filter(({ id }) => roll.rigIds === null || roll.rigIds.includes(id))
    .map(({ id: rigId }) => {
      const { ready } = recordOf(state, run, rigId);
      if (!ready || ready.observedUtcMs < roll.sinceUtcMs)
        return { rigId, ready: null, atUtcMs: null, late: false };
      const { value, observedUtcMs } = ready;
      return { rigId, ready: value, atUtcMs: observedUtcMs, late: observedUtcMs > roll.untilUtcMs };
    });
}
