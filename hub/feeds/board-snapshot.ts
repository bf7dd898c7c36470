/** The board's snapshot: what the public may know, derived from the state. No names of people. */

import { localEclipse } from "../../shared/plan/local-eclipse.ts";
import type { BoardContacts, BoardSnapshot } from "../../shared/protocol/messages.ts";
import { rigTimes } from "../../shared/run/cues/rig-times.ts";
import { type ClockHealth, doubtAt } from "../../shared/run/doubt.ts";
import { contactsOf } from "../../shared/run/effective-contacts.ts";
import { recordOf } from "../../shared/run/facts/rig-record.ts";
import { standingCall, standingTotality } from "../../shared/run/orders/calls.ts";
import { currentRun, practiceAt, utcOfRun } from "../../shared/run/run-time.ts";
import type { Call, RunRecord, SiteState } from "../../shared/run/state.ts";
import type { CallName } from "../../shared/run/vocabulary.ts";
import { earliest, runMs, type UtcMs } from "../../shared/time/instants.ts";
import { brightSky } from "./bright-sky.ts";
import { SkyBook } from "./sky-seen.ts";

/** A doubt grows by the millisecond; boards are told in these steps, on the early side, ms. */
const STEP_MS = 500;

function boardContacts(state: SiteState, run: RunRecord, clock: ClockHealth, now: UtcMs): BoardContacts {
  const contacts = contactsOf(state, run);
  const { c1, c2, max, c3, filterC3, c4 } = contacts;
  const doubt = doubtAt(state, run, clock, now);
  const practice = run.kind === "practice" ? practiceAt(state, now) : null;
  const records = [null, ...state.plan.rigs.map(({ id }) => recordOf(state, run, id))];
  const ends = records.flatMap((record) => rigTimes(run, record, contacts, doubt, practice).safeC3 ?? []);
  const end = ends.length > 0 ? earliest(...ends) : null;
  const safeC3 = end === null || end === filterC3 ? end : runMs(Math.floor(end / STEP_MS) * STEP_MS);
  return { c1, c2, max, c3, filterC3, safeC3, c4 };
}

/** The first call of a name that nobody took back. */
function wasCalled(calls: RunRecord["calls"], name: CallName): Call | null {
  return calls.find(({ call, takenBack }) => call === name && !takenBack) ?? null;
}

/** `skies`: what was said of the sky before C3; without it, what the state alone knows. */
export function boardSnapshot(
  state: SiteState,
  now: UtcMs,
  clock: ClockHealth,
  skies = new SkyBook({ getSetting: () => undefined, setSetting: () => undefined }),
): BoardSnapshot {
  const { plan, circumstances } = state;
  const run = currentRun(state, now);
  const practice = practiceAt(state, now);
  const gets = localEclipse(circumstances);
  const contacts = boardContacts(state, run, clock, now);
  const real = state.runs[state.realRunId] ?? run;
  return {
    revision: plan.revision,
    siteName: plan.site?.name ?? "",
    group: plan.group,
    zone: plan.site?.zone ?? "UTC",
    latDeg: plan.site?.latDeg ?? null,
    lonDeg: plan.site?.lonDeg ?? null,
    heightM: plan.site?.heightM ?? null,
    eclipse: plan.eclipse,
    kind: circumstances ? gets.kind : "unset",
    visible: circumstances?.visible ?? false,
    contacts,
    realContacts: real === run ? contacts : boardContacts(state, real, clock, now),
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
    calledTotalityMs: standingTotality(run.calls)?.atRunMs ?? null,
    calledReturnMs: standingCall(run.calls, "sun returns")?.atRunMs ?? null,
    stayFiltered: standingCall(run.calls, "stay filtered") !== null,
    sky: brightSky(circumstances, plan.site),
    calledOut: {
      totalityMs: wasCalled(run.calls, "totality")?.atRunMs ?? null,
      returnMs: wasCalled(run.calls, "sun returns")?.atRunMs ?? null,
    },
    skySeen: skies.seen(state, run, now, contacts.c3 && utcOfRun(practice, contacts.c3)),
    doubtS: (Math.ceil((doubtAt(state, run, clock, now).figureS * 1000) / STEP_MS) * STEP_MS) / 1000,
  };
}
