/** What all rigs of the site have in common at an instant, worked out once for a look at any of them. */
import { sunAt } from "../../eclipse/sun.ts";
import { type LocalEclipse, localEclipse } from "../../plan/local-eclipse.ts";
import { type RunMs, type UtcMs, utcMs } from "../../time/instants.ts";
import { type ClockHealth, type Doubt, doubtAt } from "../doubt.ts";
import { contactsOf, type EffectiveContacts } from "../effective-contacts.ts";
import type { PracticeStarted } from "../events.ts";
import { realSunUp } from "../facts/touch-only.ts";
import { currentRun, practiceAt, runTime } from "../run-time.ts";
import type { RunRecord, SiteState } from "../state.ts";

/** What only the asking device knows. */
export interface OwnKnowledge {
  /** "Cover every lens" was heard here, logged or not (S7). */
  cover?: boolean;
  /** Rigs to which this device's link was replaced. */
  revoked?: readonly string[];
  /** This device knows itself to be away from the plan's place (S5). */
  elsewhere?: boolean;
}

export interface SiteNow {
  state: SiteState;
  run: RunRecord;
  contacts: EffectiveContacts;
  doubt: Doubt;
  gets: LocalEclipse;
  runNow: RunMs;
  now: UtcMs;
  own: OwnKnowledge;
  practice: PracticeStarted | null;
  /** At run time. */
  sunUp: boolean;
  /** Now, in the sky; where no place is known it may be. */
  realSunUp: boolean;
}

export function siteNow(state: SiteState, clock: ClockHealth, now: UtcMs, own: OwnKnowledge): SiteNow {
  const run = currentRun(state, now);
  const contacts = contactsOf(state, run);
  const practice = practiceAt(state, now);
  const runNow = runTime(practice, now);
  const doubt = doubtAt(state, run, clock, now, own.elsewhere ?? false);
  const gets = localEclipse(state.circumstances);
  return {
    state,
    run,
    contacts,
    doubt,
    gets,
    runNow,
    now,
    own,
    practice,
    sunUp: state.plan.site !== null && sunAt(utcMs(runNow), state.plan.site).up,
    realSunUp: realSunUp(state, now),
  };
}
