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
import type { Rig } from "../plan/model/plan.ts";
import { cuesInRun } from "../run/cues/cues-in-run.ts";
import { contactsOf, type EffectiveContacts } from "../run/effective-contacts.ts";
import type { PracticeStarted, SiteEvent } from "../run/events.ts";
import { evolve } from "../run/evolve.ts";
import { runTime } from "../run/run-time.ts";
import { EMPTY_STATE, type SiteState } from "../run/state.ts";
import type { CallName, FaultKind } from "../run/vocabulary.ts";
import { type UtcMs, utcMs } from "../time/instants.ts";
import { type AlertRate, alertRate } from "./alert-rate.ts";
import { type FilterHistory, filterHistories } from "./filter-history.ts";
import { type FramesOfRig, framesOf } from "./frames.ts";
import { isMany, RunCollector } from "./run-collector.ts";
import { inOrder, marksOf, type Score, scoreOf } from "./scores.ts";

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
  /** What a practice run was of; null for the real one. */
  practice: Practised | null;
  /** What instruments counted; only rigs that have one. */
  frames: FramesOfRig[];
  /** Rigs of which only a simulated operator spoke. */
  played: string[];
  faults: { kind: FaultKind; rigIds: readonly string[] | null; atRunMs: number }[];
  /** What the hub noted of its own clock in this run: steps, sources, sleep. */
  clockNotes: { note: string; atRunMs: number }[];
  /** How well the contacts were known here, ± s. */
  timingBoundS: number | null;
}

export interface Practised {
  startedUtcMs: number;
  anchor: string;
  offsetS: number;
  rate: number;
  /** Of a programme of several. */
  part: number;
  repeats: number;
}

/** Takes events one by one, so that whoever reads a long log can do other work in between. */
export class RunReviewer {
  private state: SiteState = EMPTY_STATE;
  private readonly collector: RunCollector;

  constructor(runId: string) {
    this.collector = new RunCollector(runId);
  }

  /** In order of seq: at least all of the run, and those before it that are no reports. */
  take(event: SiteEvent): void {
    // A run that has ended is judged by the plan it was run with.
    if (!isMany(event) && !this.collector.over) this.state = evolve(this.state, event);
    this.collector.take(event, this.state);
  }

  /**
   * @param nowUtcMs of a run that goes on: cues that are due later are not missed yet. Null when it
   *   is over: then its last event says so.
   * Null when the log knows no such run.
   */
  review(nowUtcMs: UtcMs | null): Review | null {
    return reviewCollected(this.collector, nowUtcMs);
  }
}

/** All practice runs of a log in one go through it, oldest first. */
export class PracticesReviewer {
  private state: SiteState = EMPTY_STATE;
  private readonly collectors = new Map<string, RunCollector>();

  /** In order of seq: at least what is no report, and the practices' reports. */
  take(event: SiteEvent): void {
    if (!isMany(event)) this.state = evolve(this.state, event);
    if (event.type === "practiceStarted")
      this.collectors.set(event.payload.runId, new RunCollector(event.payload.runId));
    const ended = event.type === "practiceEnded" ? event.payload.runId : event.runId;
    this.collectors.get(ended)?.take(event, this.state);
  }

  /** `nowUtcMs`: where the last of them goes on. */
  reviews(nowUtcMs: UtcMs): Review[] {
    return [...this.collectors.values()].flatMap(
      (one) => reviewCollected(one, one.over ? null : nowUtcMs) ?? [],
    );
  }
}

/** How a run was like that was gathered; null where nothing of it is known. */
export function reviewCollected(collected: RunCollector, nowUtcMs: UtcMs | null): Review | null {
  const { runId, alerts, practice, atEnd, lastUtcMs } = collected;
  const run = atEnd && ownValue(atEnd.runs, runId);
  if (!atEnd || !run || !Number.isFinite(lastUtcMs)) return null;
  const at = (ms: number) => runTime(practice, utcMs(ms));
  const untilRunMs = at(collected.over || nowUtcMs === null ? lastUtcMs : nowUtcMs);
  const contacts = contactsOf(atEnd, run);
  const { rigs } = atEnd.plan;
  const segmentFromMs = practice?.startRunMs ?? Number.NEGATIVE_INFINITY;
  const reports = inOrder(collected.reports);
  const marks = marksOf(reports, at);
  const cuesOf = (rig: Rig) => cuesInRun(rig, run, contacts);
  const cues = rigs.flatMap((rig) => {
    const mine = marks.get(rig.id);
    return cuesOf(rig).flatMap((item): ReviewedCue[] => {
      const mark = mine?.get(item.id);
      // Not due yet, or over before the segment began.
      if (!mark && (item.toMs > untilRunMs || item.toMs < segmentFromMs)) return [];
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
    fromRunMs: at(collected.firstUtcMs),
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
    practice: practice && practisedOf(practice),
    frames: framesOf(collected.frames, rigs, at, cuesOf, {
      fromRunMs: Math.max(segmentFromMs, at(collected.firstUtcMs)),
      untilRunMs,
    }),
    played: rigs.map(({ id }) => id).filter((id) => collected.isPlayed(id)),
    faults: collected.faults.map(({ payload, observedUtcMs }) => ({
      kind: payload.kind,
      rigIds: payload.rigIds,
      atRunMs: at(observedUtcMs),
    })),
    clockNotes: collected.clockNotes.map(({ payload, observedUtcMs }) => ({
      note: payload.note,
      atRunMs: at(observedUtcMs),
    })),
    timingBoundS: atEnd.circumstances?.timingBoundS ?? null,
  };
}

function practisedOf({ startedUtcMs, anchor, offsetS, rate, programme }: PracticeStarted): Practised {
  const { part = 1, repeats = 1 } = programme ?? {};
  return { startedUtcMs, anchor, offsetS, rate, part, repeats };
}

function predictedOf(call: CallName, { predicted }: EffectiveContacts): number | null {
  if (call === "totality") return predicted.c2;
  return call === "sun returns" ? predicted.c3 : null;
}
