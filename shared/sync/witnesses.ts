/**
 * What the joined devices' own wall clocks say of the hub's.
 *
 * Phones and laptops set themselves by their networks, usually within 0.2 s (common practice, no
 * source), and independently of the hub. A few are wildly off. So: median of the offsets and the
 * median absolute deviation (robust against just under half of liars); the verdict compares the
 * median with what its own scatter and the devices' usual error explain.
 */
export interface Witness {
  deviceId: string;
  /** Device's wall clock − hub's UTC, ms. */
  offsetMs: number;
  /** How well this offset is measured (the device's bound against the hub), ms. */
  boundMs: number;
}

export interface WitnessVerdict {
  verdict: "agreed" | "disputed" | "too few";
  /** Median of the offsets, ms: by how much the witnesses say the hub is slow. 0 when none. */
  byMs: number;
  /** How well byMs is known as a measure of the hub's error, ms. */
  boundMs: number;
  count: number;
}

/** Fewer usable witnesses give no verdict. */
export const FEWEST_WITNESSES = 3;
/** An error the networks' time may have in common, ms (common practice, no source). */
export const COMMON_ERROR_MS = 200;
/** Witnesses within this of the median are of one mind. */
const TOGETHER_MS = 500;
/** A witness whose own link is worse than this is not heard. */
const MAX_LINK_BOUND_MS = 500;

export function judgeWitnesses(all: readonly Witness[]): WitnessVerdict {
  const heard = all.filter((w) => Number.isFinite(w.offsetMs) && w.boundMs <= MAX_LINK_BOUND_MS);
  const count = heard.length;
  const byMs = median(heard.map((w) => w.offsetMs));
  const scatter = 1.4826 * median(heard.map((w) => Math.abs(w.offsetMs - byMs)));
  const link = median(heard.map((w) => w.boundMs));
  const boundMs = COMMON_ERROR_MS + link + (3 * scatter) / Math.sqrt(Math.max(1, count));
  if (count < FEWEST_WITNESSES) return { verdict: "too few", byMs, boundMs, count };
  // devices that agree with nobody are no witnesses against the hub
  const together = heard.filter((w) => Math.abs(w.offsetMs - byMs) <= TOGETHER_MS).length;
  if (together < FEWEST_WITNESSES || together * 2 <= count)
    return { verdict: "too few", byMs, boundMs, count };
  return { verdict: Math.abs(byMs) > boundMs ? "disputed" : "agreed", byMs, boundMs, count };
}

function median(values: number[]): number {
  if (values.length === 0) return 0;
  const v = [...values].sort((a, b) => a - b);
  const mid = v.length >> 1;
  return v.length % 2 ? (v[mid] as number) : ((v[mid - 1] as number) + (v[mid] as number)) / 2;
}
