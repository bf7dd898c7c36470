/**
 * Values that several devices write, ordered by when they were observed and never by when they
 * arrived: the newest observation wins, ties go by device and then by the device's own number.
 * So a set of facts gives one state in whatever order it comes in (SPEC R1).
 */
import type { UtcMs } from "../time/instants.ts";

export interface Stamp {
  observedUtcMs: UtcMs;
  deviceId: string;
  deviceSeq: number;
}

export interface Register<Value> extends Stamp {
  value: Value;
  /** Who said so, e.g. "rig:west" or "lead:Ada". */
  by: string;
}

/** Negative when `a` was observed before `b`; 0 only for the same fact. */
export function compareStamps(a: Stamp, b: Stamp): number {
  if (a.observedUtcMs !== b.observedUtcMs) return a.observedUtcMs - b.observedUtcMs;
  if (a.deviceId !== b.deviceId) return a.deviceId < b.deviceId ? -1 : 1;
  return a.deviceSeq - b.deviceSeq;
}

/** The newer of two writes. */
export function newer<Value>(
  current: Register<Value> | undefined,
  incoming: Register<Value>,
): Register<Value> {
  return current && compareStamps(current, incoming) >= 0 ? current : incoming;
}

/** The newer of two writes either of which may be missing. */
export function newest<Value>(
  a: Register<Value> | undefined,
  b: Register<Value> | undefined,
): Register<Value> | undefined {
  if (!a) return b;
  return b ? newer(a, b) : a;
}
