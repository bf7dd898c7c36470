/** How a plan's rigs and cues are called where a check speaks of them by their ids. */
import type { Plan } from "../../../../shared/plan/model/plan.ts";
import { cueWords } from "../../../parts/words-for-cue.ts";

export function rigName(plan: Pick<Plan, "rigs">, rigId: string): string {
  return plan.rigs.find(({ id }) => id === rigId)?.name ?? rigId;
}

export function wordsOfCue(
  plan: Pick<Plan, "rigs">,
  { rigId, cueId }: { rigId: string; cueId: string },
): { rig: string; words: string } {
  const cue = plan.rigs.find(({ id }) => id === rigId)?.cues.find(({ id }) => id === cueId);
  return { rig: rigName(plan, rigId), words: cue ? cueWords(cue) : cueId };
}
