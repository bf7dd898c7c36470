/** From the count-ins that phones said they gave (`countIn` of a report) to the pips in a video's sound. */
import type { Pip } from "./pips.ts";

export interface CountIn {
  /** Begin of the long pip, UTC by the phone's clock. */
  atUtcMs: number;
  /** Short pips before it, one a second. */
  pips: number;
  /** The phone's clock against the hub's; null where it did not know. */
  boundMs: number | null;
}

export const SHORT_PIP_MS = 100;
export const LONG_PIP_MS = 500;
/** Two phones beside a rig sound the same pip so near each other that a camera hears one, ms. */
const SAME_MS = 100;

/** One count-in's, in order of time. */
export function pipsOfCountIn({ atUtcMs, pips }: Pick<CountIn, "atUtcMs" | "pips">): Pip[] {
  const short = Array.from({ length: pips }, (_, i) => ({
    atUtcMs: atUtcMs - (pips - i) * 1000,
    lengthMs: SHORT_PIP_MS,
  }));
  return [...short, { atUtcMs, lengthMs: LONG_PIP_MS }];
}

/** All, by time; what several phones sounded at once is one. */
export function pipsOfCountIns(countIns: readonly CountIn[]): Pip[] {
  const all = countIns.flatMap(pipsOfCountIn).sort((a, b) => a.atUtcMs - b.atUtcMs);
  return all.filter((pip, i) => pip.atUtcMs - (all[i - 1]?.atUtcMs ?? Number.NEGATIVE_INFINITY) > SAME_MS);
}
