/**
 * Values that several devices write, ordered by when they were observed and never by when they
 * arrived: the newest observation wins, ties go by device and then by the device's own number.
 * So a set of facts gives one state in whatever order it comes in (SPEC R1).
 */
import type { UtcMs } from "../../time/instants.ts";

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

/**
 * The newer of two writes. Two different writes with the same stamp (a program that sends two
 * reports for one instant) are told apart by their content, so that the order of arrival does
 * not decide; `preferred` wins among them when one of them has it.
 */
export function newer<Value>(
  current: Register<Value> | undefined,
  incoming: Register<Value>,
  preferred?: Value,
): Register<Value> {
  if (!current) return incoming;
  const order = compareStamps(current, incoming) || compareContents(current, incoming, preferred);
  return order >= 0 ? current : incoming;
}

function compareContents<Value>(
  a: Register<Value>,
  b: Register<Value>,
  preferred: Value | undefined,
): number {
  if (preferred !== undefined && (a.value === preferred) !== (b.value === preferred)) {
    return a.value === preferred ? 1 : -1;
  }
  const left = JSON.stringify([a.value, a.by]);
  const right = JSON.stringify([b.value, b.by]);
  return left === right ? 0 : left < right ? -1 : 1;
}

/** The newer of two writes either of which may be missing. */
export function newest<Value>(
  a: Register<Value> | undefined,
  b: Register<Value> | undefined,
): Register<Value> | undefined {
  if (!a) return b;
  return b ? newer(a, b) : a;
}
