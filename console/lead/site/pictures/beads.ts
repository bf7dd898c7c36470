/** Where the Moon's valleys let the last and first sunlight through, when the hub tells it. */
import type { Circumstances } from "../../../../shared/eclipse/circumstances-types.ts";

export interface Bead {
  /** On the Sun's limb, degrees from celestial north through east. */
  positionAngleDeg: number;
  fromUtcMs: number;
  toUtcMs: number;
}

type WithBeads = Circumstances & { beads?: { c2?: readonly Bead[]; c3?: readonly Bead[] } };

/** Beads that are lit at an instant, or within `nearMs` of it. */
export function beadsNear(
  circumstances: Circumstances,
  atMs: number,
  nearMs: number,
): (Bead & { lit: boolean })[] {
  const { beads } = circumstances as WithBeads;
  return [...(beads?.c2 ?? []), ...(beads?.c3 ?? [])]
    .filter((bead) => atMs >= bead.fromUtcMs - nearMs && atMs <= bead.toUtcMs + nearMs)
    .map((bead) => ({ ...bead, lit: atMs >= bead.fromUtcMs && atMs <= bead.toUtcMs }));
}
