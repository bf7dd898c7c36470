/**
 * From the cues of a plan to tasks of hands: every cue that keeps hands on a rig, at each of its
 * times, within its own window.
 *
 * What makes things safe must be done; the filter's coming off is worth more than any exposure. A
 * look at the sky wants no hands and is no task. How far something may begin earlier than its window
 * says: a filter's coming off by its allowance (S3, S4), its going on by a minute, what is only made
 * ready by two (common practice, no source).
 */
import { type AnchorTimes, anchoredMs, cueOccurrencesMs } from "../cue-times.ts";
import type { Cue } from "../model/cue.ts";
import type { Rig } from "../model/plan.ts";
import type { CueAction } from "../model/vocabulary.ts";
import type { Allowance } from "../safety/allowance.ts";
import { SAFE_ACTIONS } from "../safety/safe-cues.ts";
import type { Task } from "./task.ts";

/** These are made ready and may be so earlier. */
const READY: readonly CueAction[] = ["align", "frame", "focus", "tape", "check", "recentre", "exposure"];
const READY_EARLIER_S = 120;
const SAFE_EARLIER_S = 60;
/** A task that must be done outweighs everything that need not. */
const MUST_WEIGHT = 1000;
const WEIGHTS: Partial<Readonly<Record<CueAction, number>>> = { "filter-off": 50, burst: 10, record: 10 };
const PLAIN_WEIGHT = 3;
/** People take a second rig's task up in the same stretch when no longer pause lies between, s. */
const PAUSE_S = 30;
/** An earlier begin is offered in whole seconds, up to one more than was found; and one to spare. */
const ROUNDED_S = 2;

/** What of a rig its tasks come from. */
export type HandsRig = Pick<Rig, "id" | "operator" | "cues">;

/** A task, and the cue at the time it comes from. */
export interface CueTask extends Task {
  cueId: string;
  /** Which of a series, 1 for the first. */
  n: number;
  dueS: number;
}

/** Whose hands: names compare without case and ends; a rig without an operator has hands of its own. */
export function handsOf(rig: Pick<Rig, "id" | "operator">): string {
  const name = rig.operator.trim().toLowerCase();
  return name === "" ? `rig ${rig.id}` : name;
}

function earlierS(cue: Cue, allowance: Allowance | null, times: AnchorTimes, earliestS: number): number {
  if (cue.action === "filter-off" && allowance) {
    const fromMs = anchoredMs(times, "C2", allowance.offFrom.offsetS);
    return fromMs === null ? earliestS : Math.min(earliestS, fromMs / 1000);
  }
  // Closing early costs the last bead and no eye.
  if (cue.action === "filter-on") return earliestS - SAFE_EARLIER_S;
  return READY.includes(cue.action) && cue.repeat === null ? earliestS - READY_EARLIER_S : earliestS;
}

/**
 * All tasks of a rig, by time, seconds on the scale of the contacts. Who could help where it takes two
 * is not known here (crews.ts).
 */
export function tasksOfRig(rig: HandsRig, times: AnchorTimes, allowance: Allowance | null): CueTask[] {
  return rig.cues
    .filter((cue) => cue.on && cue.handsS > 0)
    .flatMap((cue) =>
      cueOccurrencesMs(cue, times).map((dueMs, at): CueTask => {
        const dueS = dueMs / 1000;
        const must = SAFE_ACTIONS.has(cue.action);
        const earliestS = dueS + cue.earliestS;
        // What is confirmed, and what makes safe, is judged by when it is done (S4: on by C3+15 s).
        const doneInTime = must || cue.confirm;
        const latestS = dueS + cue.latestS - (doneInTime ? cue.handsS : 0);
        return {
          id: `${rig.id}/${cue.id}/${at}`,
          rigId: rig.id,
          cueId: cue.id,
          n: at + 1,
          dueS,
          earliestS,
          // Hands that take longer than the window is wide begin with it.
          latestS: Math.max(earliestS, latestS),
          doneInTime,
          allowedEarliestS: earlierS(cue, allowance, times, earliestS),
          durationS: cue.handsS,
          who: [handsOf(rig)],
          people: cue.people ?? 1,
          ...(cue.people === 2 && { own: handsOf(rig) }),
          ...(cue.tool !== undefined && { tool: cue.tool.trim().toLowerCase() }),
          rank: dueS,
          must,
          weight: must ? MUST_WEIGHT : (WEIGHTS[cue.action] ?? PLAIN_WEIGHT),
        };
      }),
    );
}

/**
 * Tasks cut into stretches between which there is a pause whatever is done when: what happens in one
 * does not bear on the next. `walkS` is the longest way between two rigs. Nor does what would mend
 * one: nothing is allowed to begin so early that the pause before it is gone.
 */
export function stretchesOf<T extends Task>(tasks: readonly T[], walkS: number): T[][] {
  const stretches: T[][] = [];
  let endS = Number.NEGATIVE_INFINITY;
  let pauseEndsS = Number.NEGATIVE_INFINITY;
  for (const task of [...tasks].sort((a, b) => a.earliestS - b.earliestS)) {
    if (task.earliestS > endS + walkS + PAUSE_S || stretches.length === 0) {
      pauseEndsS = endS + walkS + PAUSE_S + ROUNDED_S;
      stretches.push([]);
    }
    const allowedEarliestS = Math.max(task.allowedEarliestS ?? task.earliestS, pauseEndsS);
    stretches.at(-1)?.push({ ...task, allowedEarliestS: Math.min(task.earliestS, allowedEarliestS) });
    endS = Math.max(endS, task.latestS + task.durationS);
  }
  return stretches;
}
