/**
 * A simulated operator's device. Its id says so, in every report and for ever: it plays a rig in a
 * practice run, is no phone of the rig (nothing is noted as joined), no word on the real filter, and
 * nobody whose hands are measured.
 */
const PLAYED = "played-";

export function playedDeviceId(id: string): string {
  return `${PLAYED}${id}`;
}

export function isPlayed(deviceId: string | null): boolean {
  return deviceId?.startsWith(PLAYED) ?? false;
}
