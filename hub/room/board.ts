/** The board's snapshot: what the public may know, derived from the state. No names of people. */
import { whatSiteGets } from "../../shared/plan/what-site-gets.ts";
import type { BoardContacts, BoardSnapshot } from "../../shared/protocol/messages.ts";
import { contactsOf, type EffectiveContacts } from "../../shared/run/effective-contacts.ts";
import { currentRun, practiceAt } from "../../shared/run/run-time.ts";
import type { SiteState } from "../../shared/run/state.ts";
import type { UtcMs } from "../../shared/time/instants.ts";

function boardContacts({ c1, c2, max, c3, filterC3, c4 }: EffectiveContacts): BoardContacts {
  return { c1, c2, max, c3, filterC3, c4 };
}

export function boardSnapshot(state: SiteState, now: UtcMs): BoardSnapshot {
  const { plan, circumstances } = state;
  const run = currentRun(state, now);
  const practice = practiceAt(state, now);
  const gets = whatSiteGets(circumstances);
  const called = (name: string): number | null =>
    run.calls.findLast((call) => call.call === name && !call.takenBack)?.atRunMs ?? null;
  return {
    revision: plan.revision,
    siteName: plan.site?.name ?? "",
    group: plan.group,
    zone: plan.site?.zone ?? "UTC",
    latDeg: plan.site?.latDeg ?? null,
    lonDeg: plan.site?.lonDeg ?? null,
    eclipse: plan.eclipse,
    kind: circumstances ? gets.kind : "unset",
    visible: circumstances?.visible ?? false,
    contacts: boardContacts(contactsOf(state, run)),
    realContacts: boardContacts(contactsOf(state, state.runs[state.realRunId] ?? run)),
    magnitude: circumstances?.magnitude ?? 0,
    ratio: circumstances?.ratio ?? 0,
    obscuration: circumstances?.obscuration ?? 0,
    positionAngles: {
      c1: circumstances?.contacts.c1?.positionAngleDeg ?? null,
      c4: circumstances?.contacts.c4?.positionAngleDeg ?? null,
    },
    practice: practice && {
      startedUtcMs: practice.startedUtcMs,
      startRunMs: practice.startRunMs,
      rate: practice.rate,
      endsAtUtcMs: practice.endsAtUtcMs,
    },
    cover: state.cover !== null,
    calledTotalityMs: called("totality"),
    calledReturnMs: called("sun returns"),
    stayFiltered: called("stay filtered") !== null,
  };
}
