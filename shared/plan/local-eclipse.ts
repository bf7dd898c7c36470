/**
 * What an eclipse gives one site, reduced to what cue lists and safety rules depend on.
 *
 * A totality counts only when the Sun is above the sea horizon at both its ends (refraction
 * included, as the solver says) and when it still lasts after the Moon's limb has shifted its
 * ends. Otherwise the site is treated as partial: filters stay on throughout, which is the safe
 * side of the mistake. `cut` says why, so that a page can explain it. Hills are not considered.
 *
 * The last word about what anybody sees is the eye's (S15).
 */
import type { Circumstances, ContactName, LocalKind } from "../eclipse/circumstances-types.ts";
import { type UtcMs, utcMs } from "../time/instants.ts";

/** Instants of the contacts, smooth Moon plus limb where known; null where there is none. */
export type ContactsMs = Record<ContactName, UtcMs | null>;

export interface LocalEclipse {
  /** "total" only when a totality can be seen; "none" also when all of it is below the horizon. */
  kind: LocalKind;
  /** Whether any of the eclipse is above the horizon. */
  visible: boolean;
  /** Seconds between C2 and C3 of a totality, limb included; 0 unless `kind` is "total". */
  totalityS: number;
  /** Seconds between C2 and C3 of a ring, limb included; 0 unless `kind` is "annular". */
  ringS: number;
  /** C2 and C3 are null unless `kind` is "total" or "annular". */
  contacts: ContactsMs;
  /** Why a geometric totality or ring does not count here; null when nothing was taken away. */
  cut: "horizon" | "limb" | null;
  /**
   * When the Sun is up, where it rises or sets so that it bears on cues: null where it is up since
   * an hour and a half before C1, or to C4. Absent where it is up all the time, or nobody knows.
   */
  sunUp?: { fromUtcMs: UtcMs | null; untilUtcMs: UtcMs | null };
}

export const NO_ECLIPSE: LocalEclipse = {
  kind: "none",
  visible: false,
  totalityS: 0,
  ringS: 0,
  contacts: { c1: null, c2: null, max: null, c3: null, c4: null },
  cut: null,
};

/** Reduces circumstances; null (no site or no eclipse chosen yet) gives NO_ECLIPSE. Never throws. */
export function localEclipse(circumstances: Circumstances | null): LocalEclipse {
  if (circumstances === null || circumstances.kind === "none" || !circumstances.visible) return NO_ECLIPSE;
  const { contacts, limb, sunUp } = circumstances;
  const outer = {
    c1: contacts.c1?.utcMs ?? null,
    max: contacts.max?.utcMs ?? null,
    c4: contacts.c4?.utcMs ?? null,
  };
  const partial: LocalEclipse = {
    kind: "partial",
    visible: true,
    totalityS: 0,
    ringS: 0,
    contacts: { ...outer, c2: null, c3: null },
    cut: null,
    ...(sunUp && (sunUp.fromUtcMs ?? sunUp.untilUtcMs) !== null && { sunUp }),
  };
  if (circumstances.kind === "partial") return partial;

  const { c2, c3 } = contacts;
  if (c2 === null || c3 === null || !c2.aboveHorizon || !c3.aboveHorizon)
    return { ...partial, cut: "horizon" };
  const c2Ms = utcMs(c2.utcMs + 1000 * (limb?.c2ShiftS ?? 0));
  const c3Ms = utcMs(c3.utcMs + 1000 * (limb?.c3ShiftS ?? 0));
  const centralS = (c3Ms - c2Ms) / 1000;
  if (centralS <= 0) return { ...partial, cut: "limb" };
  const total = circumstances.kind === "total";
  return {
    ...partial,
    kind: circumstances.kind,
    totalityS: total ? centralS : 0,
    ringS: total ? 0 : centralS,
    contacts: { ...outer, c2: c2Ms, c3: c3Ms },
  };
}
