/**
 * What a rig's cue list writes to its card: a bracket or a single frame at an exposure, a burst, a
 * frame every few seconds or video from a "record" until the next "stop".
 *
 * Assumed (common practice, no source): a burst runs for the seconds that hands are on it, ten where
 * the list does not say; a wide camera that "records" takes a frame every ten seconds; what no cue
 * stops ends half an hour after C4.
 */
import { burstTake, framesTake, type Take, videoTake } from "../../budget/storage.ts";
import { type AnchorTimes, anchoredMs, cueOccurrencesMs } from "../cue-times.ts";
import type { Cue } from "../model/cue.ts";
import type { Equipment } from "../model/equipment.ts";
import type { Rig } from "../model/plan.ts";

const BURST_S = 10;
const EVERY_S = 10;
const END_AFTER_C4_S = 1800;
/** Frames of an exposure whose cue names no times: one, through the filter or not. */
const FRAMES_UNSAID = 1;

type Camera = { exposuresS: readonly number[] } | undefined;

/** By time, ms on the scale of the contacts. Nothing where neither frames nor video have a size. */
export function takesOfRig(
  rig: Pick<Rig, "kind" | "cues">,
  equipment: Equipment,
  times: AnchorTimes,
): Take[] {
  const { frameMB, videoMbitPerS, burstPerS } = equipment;
  const takes: Take[] = [];
  const endMs = anchoredMs(times, "C4", END_AFTER_C4_S);
  const due = (cue: Cue) => cueOccurrencesMs(cue, times);
  const on = rig.cues.filter((cue) => cue.on);
  const stopsMs = on
    .filter(({ action }) => action === "stop" || action === "cap")
    .flatMap(due)
    .sort((a, b) => a - b);
  for (const cue of on)
    for (const atMs of due(cue)) {
      if (cue.action === "exposure" && frameMB !== null) {
        const exposuresS = (cue as { camera?: Camera }).camera?.exposuresS ?? [];
        const frames = Math.max(FRAMES_UNSAID, exposuresS.length);
        const lastsS = exposuresS.reduce((sum, s) => sum + s + equipment.shutterLagS, 0) || 1;
        takes.push(burstTake(atMs, frames, frameMB, lastsS));
      }
      if (cue.action === "burst" && frameMB !== null && burstPerS !== null)
        takes.push(framesTake(atMs, atMs + (cue.handsS || BURST_S) * 1000, burstPerS, frameMB));
      if (cue.action === "record") {
        const untilMs = stopsMs.find((stop) => stop > atMs) ?? endMs;
        if (untilMs === null || untilMs <= atMs) continue;
        if (rig.kind === "wide-camera") {
          if (frameMB !== null) takes.push(framesTake(atMs, untilMs, 1 / EVERY_S, frameMB));
        } else if (videoMbitPerS !== null) takes.push(videoTake(atMs, untilMs, videoMbitPerS));
      }
    }
  return takes.sort((a, b) => a.fromMs - b.fromMs);
}
