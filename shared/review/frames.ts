/**
 * What instruments counted of a rig's frames in a run, and the exposures and bursts in whose windows none
 * came. A frame is known by when the newest was said to be, some seconds apart: of a window as long as
 * a cue's that misses none that matters.
 */
import type { Rig } from "../plan/model/plan.ts";
import type { CueInstance } from "../run/cues/cue-timeline.ts";
import type { FramesSeen } from "./run-collector.ts";

export interface FramesOfRig {
  rigId: string;
  count: number;
  /** Exposures and bursts without a frame in their window. */
  without: { cueId: string; action: CueInstance["cue"]["action"]; dueRunMs: number }[];
}

/** A camera may begin a little before its window, and a frame is complete a little after it, ms. */
const EARLY_MS = 2000;
const LATE_MS = 3000;

/** @param at run time of a UTC instant @param cuesOf what was asked of a rig @param within the run, as far as it is known */
export function framesOf(
  seen: ReadonlyMap<string, FramesSeen>,
  rigs: readonly Rig[],
  at: (utcMs: number) => number,
  cuesOf: (rig: Rig) => readonly CueInstance[],
  within: { fromRunMs: number; untilRunMs: number },
): FramesOfRig[] {
  return rigs.flatMap((rig): FramesOfRig[] => {
    const frames = seen.get(rig.id);
    if (!frames) return [];
    const instants = frames.atUtcMs.map(at);
    const without = cuesOf(rig).filter(
      ({ cue: { action }, fromMs, toMs }) =>
        (action === "exposure" || action === "burst") &&
        fromMs >= within.fromRunMs &&
        toMs + LATE_MS <= within.untilRunMs &&
        !instants.some((one) => one >= fromMs - EARLY_MS && one <= toMs + LATE_MS),
    );
    return [
      {
        rigId: rig.id,
        count: frames.most - (frames.least ?? frames.most),
        without: without.map(({ id, cue, dueMs }) => ({ cueId: id, action: cue.action, dueRunMs: dueMs })),
      },
    ];
  });
}
