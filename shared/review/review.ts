/**
 * What happened in one run against its plan: every cue that was to be confirmed with its score, how
 * long filters were open and when they were closed, alerts and their rate, calls by eye against the
 * prediction. A fold over logged events; nothing is asked of a live state. Run time, ms.
 *
 * A cue is due as the plan, the variant in force and the contacts stood at the end of the run: what
 * was shifted or called meanwhile moved it. Doubt, which brings what makes safe forward, is not counted
 * against anybody: a filter that went on earlier than the plan had it is early only beyond its own window.
 */
import { ownValue } from "../fields/own-key.ts";
import { rigInVariant } from "../plan/edits/variant-cues.ts";
import type { Rig } from "../plan/model/plan.ts";
import { cueTimeline } from "../run/cues/cue-timeline.ts";
import { contactsOf, type EffectiveContacts } from "../run/effective-contacts.ts";
import type { SiteEvent } from "../run/events.ts";
import { evolve } from "../run/evolve.ts";
import type { Reported } from "../run/facts/reported.ts";
import { runTime } from "../run/run-time.ts";
import { EMPTY_STATE, type SiteState } from "../run/state.ts";
import { variantOf } from "../run/variant-of.ts";
import type { CallName } from "../run/vocabulary.ts";
import { type UtcMs, utcMs } from "../time/instants.ts";
import { type AlertRate, alertRate } from "./alert-rate.ts";
import { type FilterHistory, filterHistories } from "./filter-history.ts";
import { inOrder, MARKS, marksOf, type Score, scoreOf } from "./scores.ts";

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

/** Reports are many: those are kept that say something of a cue or a filter. */
function counts({ payload }: Reported): boolean {
  return payload.filter !== undefined || MARKS.some(([field]) => payload[field] !== undefined);
}

/** Takes events one by one, so that whoever reads a long log can do other work in between. */
export class RunReviewer {
  private state: SiteState = EMPTY_STATE;
  private atEnd: SiteState | null = null;
  private practice: SiteState["practice"] = null;
  private readonly reports: Reported[] = [];
  private readonly alerts: SiteEvent[] = [];
  private firstUtcMs = Number.POSITIVE_INFINITY;
  private lastUtcMs = Number.NEGATIVE_INFINITY;
  private over = false;

  constructor(private readonly runId: string) {}

  /** In order of seq: at least all of the run, and those before it that are no reports. */
  take(event: SiteEvent): void {
    const mine = event.runId === this.runId;
    const ends = event.type === "practiceEnded" && event.payload.runId === this.runId;
    if (event.type === "rigReported") {
      if (mine && counts(event)) this.reports.push(event);
    } else if (event.type === "alertRaised" || event.type === "alertCleared") {
      if (mine) this.alerts.push(event);
    } else {
      // A run that has ended is judged by the plan it was run with.
      if (!this.over) this.state = evolve(this.state, event);
      if (event.type === "practiceStarted" && event.payload.runId === this.runId)
        this.practice = event.payload;
      if (ends) this.over = true;
    }
    if (!mine && !ends) return;
    this.firstUtcMs = Math.min(this.firstUtcMs, event.observedUtcMs);
    this.lastUtcMs = Math.max(this.lastUtcMs, event.observedUtcMs);
    this.atEnd = this.state;
  }

  /**
   * @param nowUtcMs of a run that goes on: cues that are due later are not missed yet. Null when it
   *   is over: then its last event says so.
   * Null when the log knows no such run.
   */
  review(nowUtcMs: UtcMs | null): Review | null {
    const { runId, alerts, practice, atEnd, lastUtcMs } = this;
    const run = atEnd && ownValue(atEnd.runs, runId);
    if (!atEnd || !run || !Number.isFinite(lastUtcMs)) return null;
    const at = (ms: number) => runTime(practice, utcMs(ms));
    const untilRunMs = at(this.over || nowUtcMs === null ? lastUtcMs : nowUtcMs);
    const contacts = contactsOf(atEnd, run);
    const { rigs } = atEnd.plan;
    const reports = inOrder(this.reports);
    const marks = marksOf(reports, at);
    const cues = rigs.flatMap((rig) => {
      const mine = marks.get(rig.id);
      return cueTimeline(rigInVariant(rig, variantOf(run, rig.id)), contacts).flatMap(
        (item): ReviewedCue[] => {
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
        },
      );
    });
    return {
      runId,
      kind: run.kind,
      fromRunMs: at(this.firstUtcMs),
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
}

function predictedOf(call: CallName, { predicted }: EffectiveContacts): number | null {
  if (call === "totality") return predicted.c2;
  return call === "sun returns" ? predicted.c3 : null;
}
