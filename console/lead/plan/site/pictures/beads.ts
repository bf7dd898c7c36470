/** Where the Moon's valleys let the last and first sunlight through. */
import type { Bead, Beads } from "./picture-data.ts";

/** Beads that are lit at an instant, or within `nearMs` of it. */
export function beadsNear(beads: Beads | null, atMs: number, nearMs: number): (Bead & { lit: boolean })[] {
  return [...(beads?.c2 ?? []), ...(beads?.c3 ?? [])]
    .filter((bead) => atMs >= bead.fromUtcMs - nearMs && atMs <= bead.toUtcMs + nearMs)
    .map((bead) => ({ ...bead, lit: atMs >= bead.fromUtcMs && atMs <= bead.toUtcMs }));
}
