/** What of a log is needed to judge one run, gathered event by event. */
import type { PracticeStarted, SiteEvent } from "../run/events.ts";
import { isPlayed } from "../run/facts/played.ts";
import type { Reported } from "../run/facts/reported.ts";
import type { SiteState } from "../run/state.ts";
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
  /** With everything decided up to the last thing known of the run. */
  atEnd: SiteState | null = null;
  firstUtcMs = Number.POSITIVE_INFINITY;
  lastUtcMs = Number.NEGATIVE_INFINITY;
  over = false;
  private readonly spoke = { played: new Set<string>(), people: new Set<string>() };

  constructor(readonly runId: string) {}

  /** `state`: after the event, as far as isMany leaves it alone. */
  take(event: SiteEvent, state: SiteState): void {
    const mine = event.runId === this.runId;
    const ends = event.type === "practiceEnded" && event.payload.runId === this.runId;
    if (mine) this.keep(event);
    if (!mine && !ends) return;
    this.firstUtcMs = Math.min(this.firstUtcMs, event.observedUtcMs);
    this.lastUtcMs = Math.max(this.lastUtcMs, event.observedUtcMs);
    // What comes in late is judged by what held when the run ended.
    if (!this.over) this.atEnd = state;
    if (ends) this.over = true;
  }

  /** Only a simulated operator spoke of this rig. */
  isPlayed(rigId: string): boolean {
    return this.spoke.played.has(rigId) && !this.spoke.people.has(rigId);
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
        else this.spoke[isPlayed(event.deviceId) ? "played" : "people"].add(event.payload.rigId);
        if (counts(event)) this.reports.push(event);
        return;
      case "alertRaised":
      case "alertCleared":
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
