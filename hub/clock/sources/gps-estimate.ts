/**
 * UTC from a GPS daemon's messages, against the hub's monotonic clock. Pure.
 *
 * Pulses: the median of the last ten, bound = the daemon's precision + their spread + 1 ms for
 * reading the system clock. Without pulses: lateness (TOFF) and fixes (TPV) come late by an unknown
 * part of a second, so UTC lies between the least late of the last twenty and one second after
 * it; the middle is taken with half a second of bound.
 */
import type { MonoMs } from "../../../shared/time/instants.ts";
import type { OffsetEstimate } from "../ports.ts";

/** How late a receiver's message may be, ms (common practice: under one second at one fix a second). */
const LATEST_MS = 1000;
const PULSES = 10;
const MESSAGES = 20;
const CLOCK_READING_MS = 1;

export class GpsEstimator {
  private pulses: { offset: number; bound: number; mono: number }[] = [];
  private messages: { offset: number; mono: number }[] = [];

  /** offsetMs: UTC − monotonic. */
  addPulse(offsetMs: number, boundMs: number, mono: MonoMs): void {
    this.pulses = [...this.pulses, { offset: offsetMs, bound: boundMs, mono }].slice(-PULSES);
  }

  /** offsetMs: UTC the message speaks of − monotonic clock at its arrival. */
  addMessage(offsetMs: number, mono: MonoMs): void {
    this.messages = [...this.messages, { offset: offsetMs, mono }].slice(-MESSAGES);
  }

  /** The machine slept or its clock was set: what was measured before no longer counts. */
  clear(): void {
    this.pulses = [];
    this.messages = [];
  }

  estimate(mono: MonoMs): (OffsetEstimate & { by: "pulse" | "message" }) | null {
    const fresh = this.pulses.filter((p) => mono - p.mono < 30_000);
    const last = fresh[fresh.length - 1];
    if (last && fresh.length >= 3) {
      const sorted = fresh.map((p) => p.offset).sort((a, b) => a - b);
      const median = sorted[sorted.length >> 1] as number;
      const spread = Math.max(...sorted.map((v) => Math.abs(v - median)));
      const bound = Math.max(...fresh.map((p) => p.bound));
      return { offsetMs: median, boundMs: bound + spread + CLOCK_READING_MS, atMono: mono, by: "pulse" };
    }
    const recent = this.messages.filter((m) => mono - m.mono < 60_000);
    if (recent.length < 3) return null;
    const leastLate = Math.max(...recent.map((m) => m.offset));
    return {
      offsetMs: leastLate + LATEST_MS / 2,
      boundMs: LATEST_MS / 2 + CLOCK_READING_MS,
      atMono: mono,
      by: "message",
    };
  }
}
