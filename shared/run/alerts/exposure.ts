/** Whether the Sun's photosphere can reach a lens at the site (S1). */
import { sunAt } from "../../eclipse/sun.ts";
import { localEclipse } from "../../plan/local-eclipse.ts";
import { type RunMs, utcMs } from "../../time/instants.ts";
import type { EffectiveContacts } from "../effective-contacts.ts";
import type { SiteState } from "../state.ts";

/** S1: whether bare photosphere can reach a lens at this site at a run time. */
export function isExposed(state: SiteState, contacts: EffectiveContacts, runNow: RunMs): boolean {
  const site = state.plan.site;
  if (!site) return false;
  if (!sunAt(utcMs(runNow), site).up) return false;
  return !inTotality(state, contacts, runNow);
}

/** Between C2 and C3 at a site that is total: effective ones, but C2 not by a far shift alone. */
export function inTotality(state: SiteState, contacts: EffectiveContacts, runNow: RunMs): boolean {
  if (localEclipse(state.circumstances).kind !== "total") return false;
  const { filterC2, c3 } = contacts;
  return filterC2 !== null && c3 !== null && runNow >= filterC2 && runNow < c3;
}
