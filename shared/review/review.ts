/**
 * What happened in one run against its plan: every cue that was to be confirmed with its score, how
 * long filters were open and when they were closed, alerts and their rate, calls by eye against the
 * prediction. A fold over logged events; nothing is asked of a live state. Run time, ms.
 *
 * A cue is due as the plan and the contacts stood at the end of the run: what was shifted or called
 * meanwhile moved it. Doubt, which brings what makes safe forward, is not counted against anybody: a
 * filter that went on earlier than the plan had it is early only beyond its own window.
 */
import { ownValue } from "../fields/own-key.ts";
import type { Rig } from "../plan/model/plan.ts";
import { cueTimeline } from "../run/cues/cue-timeline.ts";
import { contactsOf, type EffectiveContacts } from "../run/effective-contacts.ts";
import type { SiteEvent } from "../run/events.ts";
import { evolve } from "../run/evolve.ts";
import { runTime } from "../run/run-time.ts";
import { EMPTY_STATE, type SiteState } from "../run/state.ts";
import type { CallName } from "../run/vocabulary.ts";
import { type AlertRate, alertRate } from "./alert-rate.ts";
import { type FilterHistory, filterHistories } from "./filter-history.ts";
import { marksOf, type Score, scoreOf } from "./scores.ts";

export interface ReviewedCue {
  rigId: string;
  operator: string;
  cueId: string;
  action: Rig["cues"][number]["action"];
  dueRunMs: number;
  fromRunMs: number;
  toRunMs: number;
  /** Null when nobody confirmed it. */
  doneRunMs: number | null;
  score: Score;
  /** Why it counts as missed: it was skipped, it was done and taken back, or nothing was said. */
  why: "skipped" | "taken back" | "nothing said" | null;
}

export interface ReviewedCall {
  call: CallName;
  by: string;
  atRunMs: number;
  /** Of the contact it names, by the prediction with the limb; null for a call that names none. */
  predictedRunMs: number | null;
  takenBack: boolean;
}

export interface Review {
  runId: string;
  kind: "real" | "practice";
  /** First and last thing known of it. */
  fromRunMs: number;
  untilRunMs: number;
  contacts: EffectiveContacts;
  cues: ReviewedCue[];
  filters: (FilterHistory & { rigId: string })[];
  alerts: AlertRate;
  calls: ReviewedCall[];
  rigs: { id: string; name: string; operator: string }[];
}

/** Reports are many and change nothing of plan, calls or practice: they are kept apart. */
type Reported = Extract<SiteEvent, { type: "rigReported" }>;

/**
 * @param events in order of seq: at least all of the run, and those before it that are no reports.
 * @param nowRunMs how far the run has come; cues that are due later are not missed yet. Null when
 *   it is over: then the last event of the run says so.
 * Null when the log knows no such run.
 */
export function reviewRun(
  events: Iterable<SiteEvent>,
  runId: string,
  nowRunMs: number | null,
): Review | null {
  let state: SiteState = EMPTY_STATE;
  let atEnd: SiteState | null = null;
  let practice: SiteState["practice"] = null;
  const reports: Reported[] = [];
  const alerts: SiteEvent[] = [];
  let [firstUtcMs, lastUtcMs] = [Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY];
  let over = false;
  for (const event of events) {
    const mine = event.runId === runId;
    if (event.type === "rigReported") {
      if (mine) reports.push(event);
    } else if (event.type === "alertRaised" || event.type === "alertCleared") {
      if (mine) alerts.push(event);
    } else {
      // A run that has ended is judged by the plan it was run with.
      if (!over) state = evolve(state, event);
      if (event.type === "practiceStarted" && event.payload.runId === runId) practice = event.payload;
      if (event.type === "practiceEnded" && event.payload.runId === runId) over = true;
    }
    const ends = event.type === "practiceEnded" && event.payload.runId === runId;
    if (!mine && !ends) continue;
    firstUtcMs = Math.min(firstUtcMs, event.observedUtcMs);
    lastUtcMs = Math.max(lastUtcMs, event.observedUtcMs);
    atEnd = state;
  }
  const run = atEnd && ownValue(atEnd.runs, runId);
  if (!atEnd || !run || !Number.isFinite(firstUtcMs)) return null;
  const at = (utc: number) => runTime(practice, utc as never);
  const untilRunMs = nowRunMs ?? at(lastUtcMs);
  const contacts = contactsOf(atEnd, run);
  const { rigs } = atEnd.plan;
  const marks = marksOf(reports, at);
  const cues = rigs.flatMap((rig) => {
    const mine = marks.get(rig.id);
    return cueTimeline(rig, contacts).flatMap((item): ReviewedCue[] => {
      const mark = mine?.get(item.id);
      if (item.toMs > untilRunMs && !mark) return [];
      const scored = scoreOf(item, mark);
      if (!scored) return [];
      return [
        {
          rigId: rig.id,
          operator: rig.operator,
          cueId: item.id,
          action: item.cue.action,
          dueRunMs: item.dueMs,
          fromRunMs: item.fromMs,
          toRunMs: item.toMs,
          ...scored,
        },
      ];
    });
  });
  return {
    runId,
    kind: run.kind,
    fromRunMs: at(firstUtcMs),
    untilRunMs,
    contacts,
    cues,
    filters: filterHistories(rigs, reports, at, contacts, untilRunMs),
    alerts: alertRate(alerts, lastUtcMs),
    calls: run.calls.map(({ call, by, atRunMs, takenBack }) => ({
      call,
      by,
      atRunMs,
      takenBack,
      predictedRunMs: predictedOf(call, contacts),
    })),
    rigs: rigs.map(({ id, name, operator }) => ({ id, name, operator })),
  };
}

function predictedOf(call: CallName, { predicted }: EffectiveContacts): number | null {
  if (call === "totality") return predicted.c2;
  return call === "sun returns" ? predicted.c3 : null;
}
