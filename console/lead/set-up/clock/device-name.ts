/** A device for people: the rigs it is at, else what kind it said it is, else the start of its id. */
import { ownValue } from "../../../../shared/fields/own-key.ts";
import type { SiteState } from "../../../../shared/run/state.ts";

export function deviceName(state: SiteState | null, deviceId: string, label = ""): string {
  const rigs = (ownValue(state?.devices ?? {}, deviceId)?.rigIds ?? [])
    .map((id) => state?.plan.rigs.find((rig) => rig.id === id)?.name ?? id)
    .join(", ");
  return rigs || label || deviceId.slice(0, 6);
}
