/** A report as it was logged, and what it says as a write to a register. */
import type { SiteEvent } from "../events.ts";
import type { Register } from "./registers.ts";

export type Reported = Extract<SiteEvent, { type: "rigReported" }>;

/**
 * A program that reports over HTTP has no device and no number of its own: its name and the log's
 * stand for them. What an instrument says is by "instrument:wheel", whoever carried it here.
 */
export function registerOf<Value>(event: Reported, value: Value): Register<Value> {
  return {
    value,
    observedUtcMs: event.observedUtcMs,
    deviceId: event.deviceId ?? event.actor,
    deviceSeq: event.deviceSeq ?? event.seq,
    by: event.payload.instrument ? `instrument:${event.payload.instrument}` : event.actor,
  };
}
