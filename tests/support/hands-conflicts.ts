/**
 * One pair of hands on several rigs: when two cues ask for them at once. Advice, not a rule: the
 * lead may know that one of the two can wait.
 *
 * Hands are on a rig from a cue's due time for its `handsS`; the windows of cues are not used up
 * to move them apart.
 */
import { type AnchorTimes, cueOccurrencesMs } from "../../shared/plan/cue-times.ts";
import type { Rig } from "../../shared/plan/model/plan.ts";

export interface HandsConflict {
  first: { rigId: string; cueId: string };
  second: { rigId: string; cueId: string };
  /** From when both want the hands, ms on the scale of the contacts. */
  fromMs: number;
  /** For how long, seconds. */
  overlapS: number;
}

type HandsRig = Pick<Rig, "id" | "cues">;

interface Held {
  rigId: string;
  cueId: string;
  fromMs: number;
  untilMs: number;
}

/** Overlaps between rigs of one operator, by time. Two cues of one rig count too. */
export function handsConflicts(rigs: readonly HandsRig[], times: AnchorTimes): HandsConflict[] {
  const held = rigs
    .flatMap((rig) =>
      rig.cues
        .filter((cue) => cue.on && cue.handsS > 0)
        .flatMap((cue) =>
          cueOccurrencesMs(cue, times).map(
            (fromMs): Held => ({ rigId: rig.id, cueId: cue.id, fromMs, untilMs: fromMs + cue.handsS * 1000 }),
          ),
        ),
    )
    .sort((a, b) => a.fromMs - b.fromMs);
  const found: HandsConflict[] = [];
  let busy: Held[] = [];
  for (const next of held) {
    busy = busy.filter((one) => one.untilMs > next.fromMs);
    for (const one of busy)
      found.push({
        first: { rigId: one.rigId, cueId: one.cueId },
        second: { rigId: next.rigId, cueId: next.cueId },
        fromMs: next.fromMs,
        overlapS: (Math.min(one.untilMs, next.untilMs) - next.fromMs) / 1000,
      });
    busy.push(next);
  }
  return found;
}
