/**
 * From a frame's stamp to UTC, by what is known of the camera's clock (shared/images/camera-clock).
 *
 * A clock counts for frames of its rig. A rig with several cameras needs their names in the file's
 * "model", or the name told. Where nothing is known of the clock, the file's own word on its offset
 * from UTC is taken without any bound; without that there is no UTC.
 *
 * Videos whose only time is the movie header's: by the standard it is UTC, but many cameras put local
 * time there. Of the two the one nearer to the eclipse is taken, and it is said so.
 */
import type { Frame } from "../../fields/image-frame.ts";
import type { CameraClockRecord } from "../../run/state.ts";
import { clockOf } from "../camera-clock/known-clock.ts";
import { type CameraClock, offsetAt, utcOfStamp, zoneAndRest } from "../camera-clock/solve.ts";

export const TIME_WARNINGS = [
  "no time in the file",
  "camera clock unknown",
  "camera clock unknown: the file's own offset is taken",
  "several cameras on this rig: none is named as the file's",
  "only the time of the last change is in the file",
  "video's time may be local or UTC",
] as const;
export type TimeWarning = (typeof TIME_WARNINGS)[number];

export interface FrameTime {
  utcMs: number | null;
  boundMs: number | null;
  camera: string | null;
  warnings: TimeWarning[];
}

export interface KnownCamera {
  camera: string;
  clock: CameraClock | null;
}

/** The word on each camera of a rig that counts: the last. Solved once for all its frames. */
export function camerasOf(records: readonly CameraClockRecord[], rigId: string): KnownCamera[] {
  const newest = new Map<string, CameraClockRecord>();
  for (const record of records) if (record.rigId === rigId) newest.set(record.camera, record);
  return [...newest.values()].map(({ camera, basis, zoneMin }) => ({
    camera,
    clock: clockOf(basis, zoneMin),
  }));
}

/** @param nearUtcMs in the middle of the eclipse; null without one. */
export function frameTime(
  { stamp, model }: Pick<Frame, "stamp" | "model">,
  cameras: readonly KnownCamera[],
  nearUtcMs: number | null,
  cameraName: string | null = null,
): FrameTime {
  if (!stamp) return { utcMs: null, boundMs: null, camera: null, warnings: ["no time in the file"] };
  const warnings: TimeWarning[] = [];
  if (stamp.field === "DateTime") warnings.push("only the time of the last change is in the file");
  if (stamp.field === "mvhd") warnings.push("video's time may be local or UTC");
  const known = cameras.filter(({ clock }) => clock !== null);
  const mine = cameraOf(known, model, cameraName);
  if (mine?.clock) {
    const faces = [stamp.localMs];
    if (stamp.field === "mvhd") {
      const { zoneMin } = zoneAndRest(offsetAt(mine.clock, mine.clock.originUtcMs).offsetMs);
      faces.push(stamp.localMs + zoneMin * 60_000);
    }
    const { clock, camera } = mine;
    const found = faces.map((face) => utcOfStamp(clock, face, stamp.stepMs));
    const best = found.reduce((a, b) =>
      distance(b.utcMs, nearUtcMs) < distance(a.utcMs, nearUtcMs) ? b : a,
    );
    return { ...best, camera, warnings };
  }
  if (known.length > 1) warnings.push("several cameras on this rig: none is named as the file's");
  if (stamp.offsetMin === null)
    return { utcMs: null, boundMs: null, camera: null, warnings: [...warnings, "camera clock unknown"] };
  const utcMs = stamp.localMs - stamp.offsetMin * 60_000;
  warnings.push("camera clock unknown: the file's own offset is taken");
  return { utcMs, boundMs: null, camera: null, warnings };
}

function distance(utcMs: number, nearUtcMs: number | null): number {
  return nearUtcMs === null ? 0 : Math.abs(utcMs - nearUtcMs);
}

function cameraOf(
  known: readonly KnownCamera[],
  model: string | null,
  name: string | null,
): KnownCamera | undefined {
  if (name !== null) return known.find(({ camera }) => camera === name);
  if (known.length <= 1) return known[0];
  const words = (model ?? "").toLowerCase();
  const named = known.filter(({ camera }) => words !== "" && words.includes(camera.toLowerCase()));
  return named.length === 1 ? named[0] : undefined;
}
