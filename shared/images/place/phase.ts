/**
 * What of the eclipse there was at an instant that is known within a bound.
 *
 * A contact that lies within the bound (the frame's and the contact's own together) is not decided: the
 * phase says which contact it is, and no more. Between contacts the covered fraction comes from two discs
 * whose centres pass on a straight line at a steady pace, fixed by C1, maximum and C4: within 0.02 of the
 * solver's (tests). Beads are between where the solver sees the limb break and the contact.
 */

import type { Circumstances } from "../../eclipse/circumstances-types.ts";
import { coveredArea } from "../../eclipse/obscuration.ts";
import { localEclipse } from "../../plan/local-eclipse.ts";
import type { EffectiveContacts } from "../../run/effective-contacts.ts";

export const PHASES = [
  "no eclipse",
  "before C1",
  "partial",
  "beads",
  "totality",
  "ring",
  "after C4",
  "C1 to within the bound",
  "C2 to within the bound",
  "C3 to within the bound",
  "C4 to within the bound",
] as const;
export type Phase = (typeof PHASES)[number];

export type OuterContact = "C1" | "C2" | "C3" | "C4";

export interface PhaseAt {
  phase: Phase;
  /** Covered fraction of the Sun's area, 0…1, in the partial phases. */
  covered: number | null;
  /** Seconds since C2, in totality and in a ring. */
  intoS: number | null;
  /** The nearest contact and seconds from it, negative before; null without an eclipse. */
  fromContact: { contact: OuterContact; s: number } | null;
}

const NAMES = [
  ["c1", "C1"],
  ["c2", "C2"],
  ["c3", "C3"],
  ["c4", "C4"],
] as const;

/** @param boundMs of the frame's own time; null where it is not known: then nothing is undecided by it. */
export function phaseAt(
  circumstances: Circumstances | null,
  { predicted, beadsC2, beadsC3 }: EffectiveContacts,
  runMs: number,
  boundMs: number | null,
): PhaseAt {
  const { kind } = localEclipse(circumstances);
  const contacts = NAMES.flatMap(([key, contact]) => {
    const at = predicted[key];
    return at === null ? [] : [{ contact, key, at: at as number }];
  });
  if (circumstances === null || contacts.length === 0)
    return { phase: "no eclipse", covered: null, intoS: null, fromContact: null };
  const nearest = contacts.reduce((a, b) => (Math.abs(b.at - runMs) < Math.abs(a.at - runMs) ? b : a));
  const fromContact = { contact: nearest.contact, s: (runMs - nearest.at) / 1000 };
  const covered = coveredAt(circumstances, predicted, runMs);
  const reachMs = (boundMs ?? 0) + circumstances.timingBoundS * 1000;
  if (Math.abs(runMs - nearest.at) <= reachMs)
    return { phase: `${nearest.contact} to within the bound`, covered, intoS: null, fromContact };
  const { c1, c2, c3, c4 } = predicted;
  const none = { covered: null, intoS: null, fromContact };
  if (c1 !== null && runMs < c1) return { phase: "before C1", ...none };
  if (c4 !== null && runMs > c4) return { phase: "after C4", ...none };
  if (c2 !== null && c3 !== null && runMs >= c2 && runMs <= c3)
    return { phase: kind === "annular" ? "ring" : "totality", ...none, intoS: (runMs - c2) / 1000 };
  const inBeads =
    (beadsC2 != null && c2 !== null && runMs >= beadsC2 && runMs < c2) ||
    (beadsC3 != null && c3 !== null && runMs > c3 && runMs <= beadsC3);
  return { phase: inBeads ? "beads" : "partial", covered, intoS: null, fromContact };
}

/** Null where the contacts do not tell. */
export function coveredAt(
  { ratio, magnitude }: Circumstances,
  { c1, max, c4 }: EffectiveContacts["predicted"],
  runMs: number,
): number | null {
  const edge = runMs <= (max ?? runMs) ? c1 : c4;
  if (max === null || edge === null || edge === max) return null;
  // Distances of the centres in solar radii: at the outer contacts the discs touch.
  const touching = 1 + ratio;
  const least = Math.max(0, touching - 2 * magnitude);
  const share = (runMs - max) / (edge - max);
  return coveredArea(ratio, Math.sqrt(least ** 2 + (touching ** 2 - least ** 2) * share ** 2));
}
