/**
 * What the joined devices' own wall clocks say of the hub's.
 *
 * Phones and laptops set themselves by their networks, usually within 0.2 s (common practice, no
 * source), and independently of the hub. A few are wildly off. So: median of the offsets and the
 * median absolute deviation (robust against just under half of liars); the verdict compares the
 * median with what its own scatter and the devices' usual error explain.
 *
 * The verdict is for knowing the hub better. For doubting it (S5) one witness is enough: each that is
 * more than a second off stands against the hub by what it says, until a lead sets it aside or three
 * others, who agree among themselves and with the hub and are more than those of its mind, outvote
 * it. Pure.
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

/** How a witness is reckoned with now. */
export type WitnessStanding = "agrees" | "disagrees" | "outvoted" | "set aside";

export interface WitnessBench {
  /** Of those not set aside. */
  verdict: WitnessVerdict;
  /** How far the worst that still disagrees says the hub may be off, ms; 0 when none does. */
  apartMs: number;
  devices: (Witness & { standing: WitnessStanding })[];
}

/** Fewer usable witnesses give no verdict. */
const FEWEST_WITNESSES = 3;
/** An error the networks' time may have in common, ms (common practice, no source). */
const COMMON_ERROR_MS = 200;
/** Witnesses within this of the median are of one mind. */
const TOGETHER_MS = 500;
/** A witness whose own link is worse than this is not heard for the hub, only against it. */
const MAX_LINK_BOUND_MS = 500;
/** Nearer than this nobody disagrees (S5): phones are often 0.2–1 s off (common practice, no source). */
export const DISAGREES_ABOVE_MS = 1000;

/** All witnesses together; `setAside`: ids of devices that a lead does not count. */
export function standingOf(all: readonly Witness[], setAside: ReadonlySet<string> = new Set()): WitnessBench {
  const known = all
    .filter((w) => Number.isFinite(w.offsetMs) && Number.isFinite(w.boundMs))
    .map((w) => ({ ...w, boundMs: Math.max(0, w.boundMs) }));
  const counted = known.filter((w) => !setAside.has(w.deviceId));
  const against = counted.filter((w) => Math.abs(w.offsetMs) - w.boundMs > DISAGREES_ABOVE_MS);
  const forIt = counted.filter((w) => !against.includes(w) && w.boundMs <= MAX_LINK_BOUND_MS);
  const mind = median(forIt.map((w) => w.offsetMs));
  const voices = forIt.filter((w) => Math.abs(w.offsetMs - mind) <= TOGETHER_MS).length;
  const outvoted = (w: Witness) =>
    voices >= FEWEST_WITNESSES &&
    voices > against.filter((other) => Math.abs(other.offsetMs - w.offsetMs) <= DISAGREES_ABOVE_MS).length;
  const standing = (w: Witness): WitnessStanding => {
    if (setAside.has(w.deviceId)) return "set aside";
    if (!against.includes(w)) return "agrees";
    return outvoted(w) ? "outvoted" : "disagrees";
  };
  const devices = known.map((w) => ({ ...w, standing: standing(w) }));
  const apart = devices.filter((w) => w.standing === "disagrees");
  return {
    verdict: judgeWitnesses(counted),
    apartMs: Math.max(0, ...apart.map((w) => Math.abs(w.offsetMs) + w.boundMs)),
    devices,
  };
}

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
