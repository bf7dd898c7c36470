/**
 * What the plan asked for when a frame was taken: the last cue of the rig that is about photographs,
 * and whether exposure, ISO and aperture are those that it names. Cameras show rounded values (1/60 is
 * 1/64): a quarter of a stop is no difference (common practice, no source).
 */
import type { Frame } from "../../fields/image-frame.ts";
import type { CueInstance } from "../../run/cues/cue-timeline.ts";

const ASKING: ReadonlySet<CueInstance["cue"]["action"]> = new Set(["exposure", "burst", "record", "frame"]);
const SAME_STOPS = 0.25;

export interface Difference {
  what: "exposure" | "iso" | "f-number";
  /** All that the plan names: brackets have several. Seconds, ISO, f-number. */
  wanted: number[];
  got: number;
}

export interface AgainstPlan {
  /** Its instance in the rig's list; null when nothing had asked yet. */
  cueId: string | null;
  differences: Difference[];
}

/** `cues` are in order of time, as cueTimeline gives them. */
export function againstPlan(cues: readonly CueInstance[], frame: Frame, runMs: number): AgainstPlan {
  const asked = cues.findLast(({ cue, fromMs }) => ASKING.has(cue.action) && fromMs <= runMs);
  if (!asked) return { cueId: null, differences: [] };
  const { camera } = asked.cue;
  const differences: Difference[] = [];
  const compare = (
    what: Difference["what"],
    wanted: number[],
    got: number | null,
    stopsPerDouble: number,
  ) => {
    if (got === null || got <= 0 || wanted.length === 0) return;
    const off = wanted.map((one) => Math.abs(Math.log2(got / one)) * stopsPerDouble);
    if (Math.min(...off) > SAME_STOPS) differences.push({ what, wanted, got });
  };
  if (camera && frame.kind === "image") {
    compare("exposure", camera.exposuresS, frame.exposureS, 1);
    compare("iso", camera.iso === null ? [] : [camera.iso], frame.iso, 1);
    compare("f-number", camera.fNumber === null ? [] : [camera.fNumber], frame.fNumber, 2);
  }
  return { cueId: asked.id, differences };
}
