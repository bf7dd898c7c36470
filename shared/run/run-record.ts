/** Changes of one run's record that several events make. Pure. */
import { ownValue } from "../fields/own-key.ts";
import type { UtcMs } from "../time/instants.ts";
import type { RunRecord, SiteState } from "./state.ts";

/** S6: a standing call of totality is over for good. */
export function madeSafe(run: RunRecord, atUtcMs: UtcMs): RunRecord {
  return {
    ...run,
    madeSafeUtcMs: atUtcMs,
    calls: run.calls.map((call) => (call.call === "totality" ? { ...call, ended: true } : call)),
  };
}

/** The state with a run changed; as it is where there is no such run. */
export function withRun(state: SiteState, runId: string, change: (run: RunRecord) => RunRecord): SiteState {
  const run = ownValue(state.runs, runId);
  if (!run) return state;
  return { ...state, runs: { ...state.runs, [runId]: change(run) } };
}
