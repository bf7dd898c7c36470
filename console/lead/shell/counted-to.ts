/**
 * What the countdown runs to: what matters next. In totality the Sun's return and never the maximum,
 * for a minute after it the time since; else the next contact, the maximum only where there is no C2.
 */
import type { ContactName } from "../../../shared/eclipse/circumstances-types.ts";
import type { LocalEclipse } from "../../../shared/plan/local-eclipse.ts";
import { type EffectiveContacts, nextAwaited } from "../../../shared/run/effective-contacts.ts";
import type { RunMs } from "../../../shared/time/instants.ts";

export interface Counted {
  what: ContactName | "sunReturns" | "ringEnds" | "sinceC3";
  at: RunMs;
}

/** For so long after C3 the time since it is shown, ms. */
const SINCE_C3_MS = 60_000;

export function countedTo(
  contacts: EffectiveContacts,
  kind: LocalEclipse["kind"],
  runNow: RunMs,
): Counted | null {
  // No shift makes the Sun return later than predicted (S5).
  const { c2, filterC3: c3 } = contacts;
  if (c2 !== null && c3 !== null && (kind === "total" || kind === "annular")) {
    if (runNow >= c2 && runNow < c3) return { what: kind === "total" ? "sunReturns" : "ringEnds", at: c3 };
    if (runNow >= c3 && runNow < c3 + SINCE_C3_MS) return { what: "sinceC3", at: c3 };
  }
  const next = nextAwaited(contacts, runNow);
  return next && { what: next.name, at: next.at };
}
