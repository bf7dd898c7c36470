/**
 * Devices for people: by the rigs they are at, else by what kind they said they are, else by a
 * number; never by their ids. Two that would be called the same are numbered. Numbers go by the
 * order of ids, so that a device keeps its own from look to look.
 */
import { ownValue } from "../../../../shared/fields/own-key.ts";
import type { SiteState } from "../../../../shared/run/state.ts";
import { t } from "../../../words/words.ts";

interface Device {
  deviceId: string;
  /** What kind of device, as it said; may be empty. */
  label?: string;
}

/** The names of all devices of a screen, so that one device has one name on it. */
export function deviceNames(
  state: Pick<SiteState, "devices" | "plan"> | null,
  devices: readonly Device[],
): (deviceId: string) => string {
  const labels = new Map<string, string>();
  for (const { deviceId, label } of devices) labels.set(deviceId, label || (labels.get(deviceId) ?? ""));
  const alike = new Map<string, string[]>();
  for (const deviceId of [...labels.keys()].sort()) {
    const called = rigsOf(state, deviceId) || labels.get(deviceId) || "";
    alike.set(called, [...(alike.get(called) ?? []), deviceId]);
  }
  const names = new Map<string, string>();
  for (const [called, ids] of alike)
    for (const [index, deviceId] of ids.entries()) names.set(deviceId, nameOf(called, index + 1, ids.length));
  return (deviceId) => names.get(deviceId) ?? t("lead.clock.device");
}

function rigsOf(state: Pick<SiteState, "devices" | "plan"> | null, deviceId: string): string {
  const known = ownValue(state?.devices ?? {}, deviceId);
  const rigs = (known?.rigIds ?? []).flatMap(
    (id) => state?.plan.rigs.find((rig) => rig.id === id)?.name ?? [],
  );
  return rigs.join(", ") || (known?.label ?? "");
}

function nameOf(called: string, number: number, alike: number): string {
  if (called === "") return t("lead.clock.deviceNumber", { number });
  return alike > 1 ? `${called} (${number})` : called;
}
