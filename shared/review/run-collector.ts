/** What of a log is needed to judge one run, gathered event by event. */
import { ownValue } from "../fields/own-key.ts";
import type { PracticeStarted, SiteEvent } from "../run/events.ts";
import { isPlayed } from "../run/facts/played.ts";
import type { Reported } from "../run/facts/reported.ts";
import { practiceEndMs } from "../run/run-time.ts";
import type { SiteState } from "../run/state.ts";
import type { UtcMs } from "../time/instants.ts";
import type { Stage } from "./run-stages.ts";
import { MARKS } from "./scores.ts";

/** Reports are many: those are kept that say something of a cue or a filter. */
export const COUNTED = ["filter", ...MARKS.map(([field]) => field)] as const;

/** What a reader of a long log is to hand over of its reports. */
export const READ = [...COUNTED, "frames", "lastFrameUtcMs"] as const;

function counts({ payload }: Reported): boolean {
  return COUNTED.some((field) => payload[field] !== undefined);
}

/** Of what there are many, and no plan and no contact hangs on them. */
export function isMany({ type }: SiteEvent): boolean {
  return type === "rigReported" || type === "alertRaised" || type === "alertCleared";
}

type OfType<T extends SiteEvent["type"]> = Extract<SiteEvent, { type: T }>;

export interface FramesSeen {
  /** Count at the first word of the run, and the highest. */
  least: number | null;
  most: number;
  /** When a newest frame was said to be, as often as that was said. */
  atUtcMs: number[];
}

export class RunCollector {
  readonly reports: Reported[] = [];
  readonly alerts: SiteEvent[] = [];
  /** By rig: what instruments counted of its frames. */
  readonly frames = new Map<string, FramesSeen>();
  readonly faults: OfType<"practiceFault">[] = [];
  readonly clockNotes: OfType<"clockNoted">[] = [];
  practice: PracticeStarted | null = null;
  /** What was decided, until the run was over. */
  readonly stages: Stage[] = [];
  firstUtcMs = Number.POSITIVE_INFINITY;
  lastUtcMs = Number.NEGATIVE_INFINITY;
  over = false;
  /** When a practice ended: by a lead, or at its limit. */
  endUtcMs: number | null = null;
  /** The phone whose clock was known worst, of those that people reported with. */
  worstPhone: { rigId: string; boundMs: number } | null = null;
  private readonly spoke = { played: new Set<string>(), people: new Set<string>() };

  constructor(readonly runId: string) {}

  /**
   * Of this run, and while it goes on what is decided beside it (a plan is the real run's). `state`: after
   * the event, as far as isMany leaves it alone.
   */
  take(event: SiteEvent, state: SiteState): void {
    const mine = event.runId === this.runId;
    const ends = event.type === "practiceEnded" && event.payload.runId === this.runId;
    if (mine) this.keep(event);
    // What comes in late is judged by what held when the run ended.
    if (!this.over && !isMany(event)) this.hang(event.loggedUtcMs, state);
    if (!mine && !ends) return;
    this.firstUtcMs = Math.min(this.firstUtcMs, event.observedUtcMs);
    if (!this.over) this.lastUtcMs = Math.max(this.lastUtcMs, event.observedUtcMs);
    if (!ends) return;
    this.over = true;
    const limitMs = this.practice ? practiceEndMs(state, this.practice) : event.observedUtcMs;
    this.endUtcMs = Math.min(event.observedUtcMs, limitMs);
  }

  /** From an instant on the run hangs on this. */
  hang(fromUtcMs: UtcMs, state: SiteState): void {
    const run = ownValue(state.runs, this.runId);
    if (!run) return;
    const last = this.stages.at(-1);
    const same =
      last?.state.plan.rigs === state.plan.rigs &&
      last?.state.circumstances === state.circumstances &&
      last?.run === run;
    if (!same) this.stages.push({ fromUtcMs, state, run });
  }

  /** Only a simulated operator spoke of this rig. */
  isPlayed(rigId: string): boolean {
    return this.spoke.played.has(rigId) && !this.spoke.people.has(rigId);
  }

  private hear({ payload: { rigId }, boundMs }: Reported): void {
    this.spoke.people.add(rigId);
    if (boundMs !== null && boundMs > (this.worstPhone?.boundMs ?? -1)) this.worstPhone = { rigId, boundMs };
  }

  private watch({ payload: { rigId, frames, lastFrameUtcMs } }: Reported): void {
    if (frames === undefined && lastFrameUtcMs === undefined) return;
    const seen = this.frames.get(rigId) ?? { least: null, most: 0, atUtcMs: [] };
    this.frames.set(rigId, seen);
    if (frames !== undefined) {
      seen.least ??= frames;
      seen.most = Math.max(seen.most, frames);
    }
    if (lastFrameUtcMs !== undefined) seen.atUtcMs.push(lastFrameUtcMs);
  }

  private keep(event: SiteEvent): void {
    switch (event.type) {
      case "rigReported":
        if (event.payload.instrument) this.watch(event);
        else if (isPlayed(event.deviceId)) this.spoke.played.add(event.payload.rigId);
        else this.hear(event);
        if (counts(event)) this.reports.push(event);
        return;
      case "alertRaised":
      case "alertCleared":
      case "alertAnswered":
        this.alerts.push(event);
        return;
      case "practiceStarted":
        this.practice = event.payload;
        return;
      case "practiceFault":
        if (!event.payload.over) this.faults.push(event);
        return;
      case "clockNoted":
        this.clockNotes.push(event);
    }
  }
}
