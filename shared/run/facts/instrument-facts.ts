/**
 * What instruments say of a rig against its cues and against people (SPEC R20): frames that did not come,
 * a card that will be full, a wheel that stands open. Pure; for alerts, the lead's rows and the debrief.
 */
import { ownValue } from "../../fields/own-key.ts";
import { later, type RunMs, type UtcMs } from "../../time/instants.ts";
import type { PutCue } from "../cues/instruction.ts";
import { runTime } from "../run-time.ts";
import type { RigStatus } from "../views/rig-status.ts";
import type { RunView } from "../views/run-view.ts";
import { newest, type Register } from "./registers.ts";

/** A frame is known this much after it was written: a listing each second, the same size twice, the way to the hub. */
const FRAME_KNOWN_MS = 2400;
/** A cue that made no frame is told of for so long, ms of run time. Common practice, no source. */
const MISSED_MS = 180_000;
/** A camera may begin a little before its window, ms. */
const EARLY_MS = 2000;
/** A program away from the hub whose word is no older than this still counts as watching, ms. */
const FRESH_MS = 60_000;

export function saidByInstrument<Value>(
  { record }: Pick<RigStatus, "record">,
  field: string,
): Register<Value> | undefined {
  return ownValue(record.instruments, field) as Register<Value> | undefined;
}

/** Whether a program watches this rig's instruments now. */
function isWatched(status: RigStatus, register: Register<unknown>, now: UtcMs): boolean {
  return status.devices.some(({ agent }) => agent) || now - register.observedUtcMs < FRESH_MS;
}

export interface MissedFrames {
  cue: PutCue;
  /** When the last frame came, run time; null when none ever has. */
  lastRunMs: RunMs | null;
}

/** The newest exposure or burst whose window has passed without a new frame, though somebody counts them. */
export function missedFrames(status: RigStatus, view: RunView): MissedFrames | null {
  const frames = saidByInstrument<number>(status, "frames");
  const { runNow, practice } = view;
  if (!frames || !isWatched(status, frames, view.now)) return null;
  const known = FRAME_KNOWN_MS * (practice?.rate ?? 1);
  const cue = status.cues.findLast(
    ({ id, cue: { action }, toMs }) =>
      (action === "exposure" || action === "burst") &&
      runNow > toMs + known &&
      runNow - toMs < MISSED_MS &&
      // What its operator has let go is not missed.
      ownValue(status.record.cues, id)?.value !== "skipped",
  );
  if (!cue) return null;
  const last = saidByInstrument<UtcMs>(status, "lastFrameUtcMs");
  const lastRunMs = last ? runTime(practice, last.value) : null;
  // In a run that began after this cue nobody could have.
  if (practice && cue.fromMs < practice.startRunMs) return null;
  return lastRunMs !== null && lastRunMs >= cue.fromMs - EARLY_MS ? null : { cue, lastRunMs };
}

/** When the card will be full at the rate at which it fills now, run time; null while it does not. */
export function cardFullMs(status: RigStatus, view: RunView): RunMs | null {
  const fills = saidByInstrument<number>(status, "fillsGBPerMin");
  const free = saidByInstrument<number>(status, "cardFreeGB");
  if (!fills || !free || fills.value <= 0 || !isWatched(status, fills, view.now)) return null;
  const fromRunMs = runTime(view.practice, free.observedUtcMs);
  return later(fromRunMs, (free.value / fills.value) * 60_000 * (view.practice?.rate ?? 1));
}

/** A wheel says that nothing is in the light while a person says that the filter is on; whichever counts (S9). */
export function wheelContradicts(status: RigStatus): boolean {
  if (saidByInstrument(status, "filter")?.value !== "off") return false;
  const people = Object.values(status.record.filter.byDevice).filter(
    ({ by }) => !by.startsWith("instrument:"),
  );
  const last = people.reduce<(typeof people)[number] | undefined>((a, b) => newest(a, b), undefined);
  return last?.value === "on" || last?.value === "capped";
}

/** The settings of a camera that the plan has for the cue in hand, where the camera's are others. */
export function settingsDiffer(status: RigStatus, view: RunView): PutCue | null {
  const cue = status.cues.findLast(
    ({ cue: { camera }, fromMs, toMs }) => camera && view.runNow >= fromMs && view.runNow <= toMs,
  );
  const camera = cue?.cue.camera;
  if (!cue || !camera) return null;
  const read = (field: string): number | null => {
    const said = saidByInstrument<number>(status, field);
    // Read before this cue's window it says nothing of it.
    return said && runTime(view.practice, said.observedUtcMs) >= cue.fromMs ? said.value : null;
  };
  const [iso, fNumber, exposureS] = [read("iso"), read("fNumber"), read("exposureS")];
  const isAnother = (is: number | null, wanted: number | null): boolean =>
    is !== null && wanted !== null && Math.abs(is / wanted - 1) > STOP_PART;
  const exposed = exposureS !== null && camera.exposuresS.length > 0;
  const others = exposed && camera.exposuresS.every((wanted) => isAnother(exposureS, wanted));
  return isAnother(iso, camera.iso) || isAnother(fNumber, camera.fNumber) || others ? cue : null;
}

/** Names of stops are rounded ("1/30" is 1/32): within an eighth of a stop it is the same. */
const STOP_PART = 0.09;
