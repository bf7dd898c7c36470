/** When an open filter has to go on though no cue of its list asks for it yet (S1, S6, S9). */
import { sunAt } from "../../eclipse/sun.ts";
import type { Plan } from "../../plan/model/plan.ts";
import { earliest, later, latest, type RunMs, utcMs } from "../../time/instants.ts";
import { standingSafeCall } from "../orders/calls.ts";
import type { RunRecord } from "../state.ts";
import type { KnownFilter } from "./cue-states.ts";

/** A call to filters is told to rigs whose filter is known to be on for so long, ms. */
const CALL_TOLD_MS = 30_000;

/** From when on a rig's filter has to go on whatever the cues say (S1, S6), run time ms; null where it has not. */
export function closeFromMs(
  run: Pick<RunRecord, "calls">,
  runNow: RunMs,
  exposed: boolean,
  filter: KnownFilter | null,
): RunMs | null {
  const saidMs = filter?.saidMs ?? latest<RunMs>();
  const called = standingSafeCall(run.calls);
  const calledMs = called ? called.atRunMs : null;
  if (filter?.state === "off") {
    const since = [
      ...(calledMs !== null && saidMs <= calledMs ? [calledMs] : []),
      ...(exposed ? [saidMs] : []),
    ];
    return since.length === 0 ? null : earliest(runNow, ...since);
  }
  const told = called?.call === "sun returns" && calledMs !== null && saidMs < calledMs;
  return told && runNow <= calledMs + CALL_TOLD_MS ? earliest(runNow, calledMs) : null;
}

const SUN_STEP_MS = 10 * 60_000;
const DAY_MS = 86_400_000;

/** When the Sun is next up, run time ms, to ten minutes on the early side; a day on where it is not. */
export function sunUpFromMs({ site }: Pick<Plan, "site">, runNow: RunMs): RunMs {
  if (!site) return runNow;
  for (let inMs = 0; inMs < DAY_MS; inMs += SUN_STEP_MS)
    if (sunAt(utcMs(runNow + inMs + SUN_STEP_MS), site).up) return later(runNow, inMs);
  return later(runNow, DAY_MS);
}
