/**
 * What happened in one run against its plan: every cue that was to be confirmed with its score, how
 * long filters were open and when they were closed, alerts and their rate, calls by eye against the
 * prediction. A fold over logged events; nothing is asked of a live state. Run time, ms.
 *
 * A cue is due as the plan, the variant in force and the contacts stood when it was done, or else when its
 * window ended (run-stages.ts). Filters are measured against the contacts at the end. Doubt, which brings what makes safe forward, is not counted
 * against anybody: a filter that went on earlier than the plan had it is early only beyond its own window.
 */
import { localEclipse } from "../plan/local-eclipse.ts";
import type { Rig } from "../plan/model/plan.ts";
import { type EffectiveContacts, predictedOfCall } from "../run/effective-contacts.ts";
import type { PracticeStarted, SiteEvent } from "../run/events.ts";
import { evolve } from "../run/evolve.ts";
import { practiceEndMs, runTime } from "../run/run-time.ts";
import { EMPTY_STATE, type SiteState } from "../run/state.ts";
import type { CallName, FaultKind } from "../run/vocabulary.ts";
import { type UtcMs, utcMs } from "../time/instants.ts";
import { type AlertRate, alertRate } from "./alert-rate.ts";
import { type FilterHistory, filterHistories } from "./filter-history.ts";
import { type FramesOfRig, framesOf } from "./frames.ts";
import { isMany, RunCollector } from "./run-collector.ts";
import { cuesAsked, realEndMs, rigsOfStages, stagesInForce, type Timed } from "./run-stages.ts";
import { inOrder, marksOf, type Scored, scoreOf } from "./scores.ts";

export interface ReviewedCue extends Scored {
  rigId: string;
  operator: string;
  cueId: string;
  action: Rig["cues"][number]["action"];
  dueRunMs: number;
  fromRunMs: number;
  toRunMs: number;
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
  /** It has not ended yet. */
  goesOn: boolean;
  /** First thing known of it, and its end, or how far it has come. */
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
  /** How well the phone that knew it worst knew the hub's time when a person reported with it, ± ms. */
  worstPhone: { rigId: string; boundMs: number } | null;
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
    // Of the run of a site that nobody has planned yet nothing was ever logged.
    if (this.collector.stages.length === 0 && nowUtcMs !== null) this.collector.hang(nowUtcMs, this.state);
    return reviewCollected(this.collector, nowUtcMs);
  }
}

/** All practice runs of a log in one go through it, oldest first. */
export class PracticesReviewer {
  private state: SiteState = EMPTY_STATE;
  private readonly collectors = new Map<string, RunCollector>();
  /** The practice that is on. */
  private on: RunCollector | undefined;

  /** In order of seq: at least what is no report, and the practices' reports. */
  take(event: SiteEvent): void {
    if (!isMany(event)) this.state = evolve(this.state, event);
    if (event.type === "practiceStarted") {
      this.on = new RunCollector(event.payload.runId);
      this.collectors.set(event.payload.runId, this.on);
    }
    const ended = event.type === "practiceEnded" ? event.payload.runId : event.runId;
    const mine = this.collectors.get(ended);
    mine?.take(event, this.state);
    // What is decided of the plan meanwhile is of the real run.
    if (this.on !== mine && !isMany(event)) this.on?.take(event, this.state);
    if (this.on?.over) this.on = undefined;
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
  const { runId, alerts, practice } = collected;
  const at = (ms: number) => runTime(practice, utcMs(ms));
  const stages = stagesInForce(collected.stages, at);
  const last = stages.at(-1);
  if (!last) return null;
  const { contacts, run } = last;
  const { circumstances } = last.state;
  const reports = inOrder(collected.reports);
  const endUtcMs = endOf(collected, last, reports.at(-1)?.observedUtcMs ?? 0);
  const untilUtcMs = Math.min(endUtcMs, nowUtcMs ?? collected.lastUtcMs);
  const untilRunMs = at(untilUtcMs);
  const fromRunMs = at(Math.min(collected.firstUtcMs, untilUtcMs));
  const marks = marksOf(reports, at);
  const all = rigsOfStages(stages);
  const asked = new Map(all.map(({ id }) => [id, cuesAsked(id, stages, marks.get(id))]));
  const cues = all.flatMap((rig) => {
    const mine = marks.get(rig.id);
    return (asked.get(rig.id) ?? []).flatMap((item): ReviewedCue[] => {
      const mark = mine?.get(item.id);
      // Not due yet.
      if (!mark && item.toMs > untilRunMs) return [];
      const scored = scoreOf(item, mark);
      if (!scored) return [];
      return [
        {
          rigId: rig.id,
          operator: item.operator,
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
  const sky = { contacts, gets: localEclipse(circumstances), untilRunMs };
  const filtersOfAll = filterHistories(all, reports, at, sky);
  // One that was taken out belongs to the run by what it did in it.
  const planned = new Set(last.state.plan.rigs.map(({ id }) => id));
  const did = new Set([
    ...cues.map(({ rigId }) => rigId),
    ...filtersOfAll.flatMap(({ rigId, open }) => (open.length > 0 ? [rigId] : [])),
  ]);
  const rigs = all.filter(({ id }) => planned.has(id) || did.has(id));
  const has = new Set(rigs.map(({ id }) => id));
  return {
    runId,
    kind: run.kind,
    goesOn: !collected.over && nowUtcMs !== null && nowUtcMs < endUtcMs,
    fromRunMs,
    untilRunMs,
    contacts,
    cues,
    filters: filtersOfAll.filter(({ rigId }) => has.has(rigId)),
    alerts: alertRate(alerts, untilUtcMs, practice?.startedUtcMs, at),
    calls: run.calls.map(({ call, by, atRunMs, takenBack }) => ({
      call,
      by,
      atRunMs,
      takenBack,
      predictedRunMs: predictedOfCall(
        call,
        (stages.findLast((one) => one.fromRunMs <= atRunMs) ?? last).contacts,
      ),
    })),
    rigs: rigs.map(({ id, name, operator }) => ({ id, name, operator })),
    practice: practice && practisedOf(practice),
    frames: framesOf(collected.frames, rigs, at, ({ id }) => asked.get(id) ?? [], {
      fromRunMs: practice ? Math.max(practice.startRunMs, fromRunMs) : fromRunMs,
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
    worstPhone: collected.worstPhone,
    timingBoundS: circumstances?.timingBoundS ?? null,
  };
}

/** When a run ended, or will: a practice at its limit at the latest, a real one after the last contact and the last word. */
function endOf({ endUtcMs, practice }: RunCollector, last: Timed, lastWordUtcMs: number): number {
  if (endUtcMs !== null) return endUtcMs;
  return practice ? practiceEndMs(last.state, practice) : Math.max(realEndMs(last.contacts), lastWordUtcMs);
}

function practisedOf({ startedUtcMs, anchor, offsetS, rate, programme }: PracticeStarted): Practised {
  const { part = 1, repeats = 1 } = programme ?? {};
  return { startedUtcMs, anchor, offsetS, rate, part, repeats };
}
