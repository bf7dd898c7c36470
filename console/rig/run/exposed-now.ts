import { isExposed } from "../../../shared/run/alerts/exposure.ts";
import { mayBeOff } from "../../../shared/run/cues/rig-times.ts";
import type { RigStatus } from "../../../shared/run/views/rig-status.ts";
import type { RigScene } from "./rig-scene.ts";

/** S1, S8: whether an open filter would be bare photosphere on a lens outside the rig's allowance. */
export function exposedNow({ state, view }: RigScene, status: RigStatus): boolean {
  if (status.exposed || status.touchOnly) return true;
  const { contacts, runNow } = view;
  return isExposed(state, contacts, runNow) && !mayBeOff(status.allowance, status.times, runNow);
}
