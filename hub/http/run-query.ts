/** `run=` of what is asked of one run: without it the run that is on, else the real one. */
import * as v from "valibot";
import { id } from "../../shared/fields/id.ts";
import { currentRun } from "../../shared/run/run-time.ts";
import type { HubParts } from "./hub-parts.ts";
import { said } from "./said.ts";

export const runQuery = {
  run: v.optional(
    said(
      id,
      "The run's id, as GET /api/log.json names it; without it the practice that is on, or else the real run",
    ),
  ),
};

/** The id of the run that is asked for. */
export function askedRun(
  run: string | null | undefined,
  { keeper, clock }: Pick<HubParts, "keeper" | "clock">,
): string {
  return run ?? currentRun(keeper.state, clock.now()).runId;
}
