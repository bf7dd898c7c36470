/**
 * The devices' clock samples as curves on one axis of time, as the chart wants them: an array of
 * instants in seconds, and one array of bounds in ms per device, null where a device said nothing.
 */
import type { ClockSample } from "./clock-status.ts";

export interface DeviceCurves {
  /** UTC seconds, rising. */
  atS: number[];
  devices: { deviceId: string; boundMs: (number | null)[]; last: ClockSample }[];
}

/** Samples of one device within this are one point, ms. */
const STEP_MS = 2000;

export function deviceCurves(samples: readonly ClockSample[]): DeviceCurves {
  const steps = [...new Set(samples.map((sample) => Math.floor(sample.utcMs / STEP_MS)))].sort(
    (a, b) => a - b,
  );
  const place = new Map(steps.map((step, index) => [step, index]));
  const byDevice = new Map<string, DeviceCurves["devices"][number]>();
  for (const sample of [...samples].sort((a, b) => a.utcMs - b.utcMs)) {
    const index = place.get(Math.floor(sample.utcMs / STEP_MS));
    if (index === undefined) continue;
    let device = byDevice.get(sample.deviceId);
    if (!device) {
      device = { deviceId: sample.deviceId, boundMs: steps.map(() => null), last: sample };
      byDevice.set(sample.deviceId, device);
    }
    device.boundMs[index] = sample.boundMs;
    device.last = sample;
  }
  return {
    atS: steps.map((step) => (step * STEP_MS) / 1000),
    devices: [...byDevice.values()].sort((a, b) => b.last.boundMs - a.last.boundMs),
  };
}
