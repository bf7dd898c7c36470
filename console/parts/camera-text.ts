/**
 * What the camera is set to for a cue, in the signs that cameras themselves use: the same in every
 * language. "1/2000, 1/500, 1 s · ISO 400 · f/5.6".
 */
import type { CameraSettings } from "../../shared/plan/model/cue.ts";

export function cameraText(camera: CameraSettings): string {
  const { exposuresS, iso, fNumber } = camera;
  return [
    exposuresS.length > 0 ? `${exposuresS.map(exposureText).join(", ")} s` : "",
    iso === null ? "" : `ISO ${iso}`,
    fNumber === null ? "" : `f/${fNumber}`,
  ]
    .filter(Boolean)
    .join(" · ");
}

/** The same for who sets it in haste: a run of exposures by its number and its two ends, "7 × 1/2000 … 2 s". */
export function cameraShort(camera: CameraSettings): string {
  const { exposuresS: all } = camera;
  if (all.length < 3) return cameraText(camera);
  const ends = all.filter((_, n) => n % (all.length - 1) === 0);
  return `${all.length} × ${cameraText({ ...camera, exposuresS: ends }).replace(",", " …")}`;
}

/** As on a dial: fractions below a third of a second. */
function exposureText(exposureS: number): string {
  return exposureS < 0.3 ? `1/${Math.round(1 / exposureS)}` : `${Math.round(exposureS * 10) / 10}`;
}
