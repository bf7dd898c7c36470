/** When an open filter has to go on though no cue of its list asks for it yet (S1, S6, S9). */
import { sunAt } from "../../eclipse/sun.ts";
import type { Plan } from "../../plan/model/plan.ts";
import { type RunMs, utcMs } from "../../time/instants.ts";
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
): number | null {
  const saidMs = filter?.saidMs ?? Number.NEGATIVE_INFINITY;
  const called = standingSafeCall(run.calls);
  const calledMs = called ? called.atRunMs : null;
  if (filter?.state === "off") {
    const since = [
      ...(calledMs !== null && saidMs <= calledMs ? [calledMs] : []),
      ...(exposed ? [saidMs] : []),
    ];
    return since.length === 0 ? null : Math.min(runNow, ...since);
  }
  const told = called?.call === "sun returns" && calledMs !== null && saidMs < calledMs;
  return told && runNow <= calledMs + CALL_TOLD_MS ? Math.min(runNow, calledMs) : null;
}

const SUN_STEP_MS = 10 * 60_000;

/** When the Sun is next up, run time ms, to ten minutes on the early side; a day on where it is not. */
export function sunUpFromMs({ site }: Pick<Plan, "site">, runNow: number): number {
  if (!site) return runNow;
  for (let at = runNow; at < runNow + 86_400_000; at += SUN_STEP_MS)
    if (sunAt(utcMs(at + SUN_STEP_MS), site).up) return at;
  return runNow + 86_400_000;
}
