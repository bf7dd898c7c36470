/**
 * What a simulated operator does in a practice run, of what they see: the same at every run. It
 * looks at cues as they are put to a person (shared/run/cues) and decides nothing about them.
 */
import { setUpChecksFor } from "../../shared/plan/defaults/set-up-checks.ts";
import type { Rig } from "../../shared/plan/model/plan.ts";
import { inTotality } from "../../shared/run/alerts/exposure.ts";
import type { PutCue } from "../../shared/run/cues/instruction.ts";
import { isHeld } from "../../shared/run/cues/manner.ts";
import { anchorMs } from "../../shared/run/effective-contacts.ts";
import type { PracticeStarted } from "../../shared/run/events.ts";
import type { Report } from "../../shared/run/facts/report-schema.ts";
import type { SiteState } from "../../shared/run/state.ts";
import type { RigStatus } from "../../shared/run/views/rig-status.ts";
import type { RunView } from "../../shared/run/views/run-view.ts";
import type { UtcMs } from "../../shared/time/instants.ts";
import type { Person } from "./person.ts";
import { seeded } from "./seeded.ts";
import type { WorkOfHands } from "./work-of-hands.ts";

const TRACKED = new Set<Rig["kind"]>(["tracked-telescope", "small-automatic-telescope", "visual-telescope"]);
/** People who have practised need less than the time a cue allows for their hands. */
const HANDS_PART = 0.6;
/** How often card and battery are told, seconds of run time. */
const TELL_S = 20;

/** What an operator has before their eyes. */
export interface Scene {
  state: SiteState;
  view: RunView;
  status: RigStatus;
  now: UtcMs;
  cover: boolean;
  /** The order of everybody's hands; null where nobody keeps to one. */
  work?: WorkOfHands | null;
}

/** What one person does in one practice run; the same at every run. */
export class Habit {
  readonly runId: string;
  private readonly random: () => number;
  private readonly startRunMs: number;
  private readonly greetRunMs: number;
  private readonly reactionMs = new Map<string, number>();
  private readonly done = new Set<string>();
  private momentsSeen = 0;
  private cardGB: number | null;
  private batteryPct: number;
  private lastTickRunMs: number;
  private nextTellRunMs: number;
  private sky: NonNullable<Report["sky"]> = "clear";
  private greeted = false;
  private covered = false;
  private sawTotality = false;
  private toldReleaseAt: number | null = null;

  constructor(
    private readonly person: Person,
    practice: PracticeStarted,
    private readonly rig: Rig,
  ) {
    this.runId = practice.runId;
    this.random = seeded(person.rigId);
    this.startRunMs = practice.startRunMs;
    this.greetRunMs = practice.startRunMs + 1000 + this.random() * 6000;
    this.cardGB = person.card?.startGB ?? null;
    this.batteryPct = person.battery.startPct;
    this.lastTickRunMs = practice.startRunMs;
    this.nextTellRunMs = practice.startRunMs + TELL_S * (0.5 + this.random()) * 1000;
  }

  inReach({ contacts, runNow }: RunView): boolean {
    const away = this.person.outOfReach;
    if (!away || contacts.c2 === null) return true;
    const s = (runNow - contacts.c2) / 1000;
    return s < away[0] || s >= away[1];
  }

  act(scene: Scene): Report[] {
    const { runNow } = scene.view;
    if (!this.greeted) {
      if (runNow < this.greetRunMs) return [];
      this.greeted = true;
      return [this.greeting()];
    }
    this.drain(scene.status, runNow);
    const reports = [...this.cover(scene)];
    if (this.covered) return reports;
    reports.push(...this.happens(scene.view));
    for (const cue of scene.status.cues) reports.push(...this.follow(cue, scene));
    if (runNow >= this.nextTellRunMs) {
      this.nextTellRunMs = runNow + TELL_S * (0.8 + 0.4 * this.random()) * 1000;
      reports.push(this.stock());
    }
    return reports;
  }

  /** The first word of a run: what a careful operator says before anything is asked (S8, S10). */
  private greeting(): Report {
    const checks = Object.fromEntries(setUpChecksFor(this.rig).map((check) => [check, true]));
    return {
      ...this.stock(),
      ...(this.filtered && { filter: "on" as const, looked: true }),
      // The simulated optics point away from the real Sun: their filters really come off.
      ...((this.person.vouches ?? true) && { practiceSafe: true }),
      focused: true,
      ...(TRACKED.has(this.rig.kind) && { tracking: true }),
      recording: false,
      sky: this.sky,
      checks,
      armed: { screen: true, sound: true, voice: this.person.reactionS[0] < 2, vibration: true },
    };
  }

  /** What happened to card, battery or sky from outside. */
  holds({ cardFreeGB, batteryPct, sky }: Report): void {
    this.sky = sky ?? this.sky;
    this.cardGB = cardFreeGB ?? this.cardGB;
    this.batteryPct = batteryPct ?? this.batteryPct;
  }

  private stock(): Report {
    return {
      batteryPct: Math.round(this.batteryPct),
      ...(this.cardGB !== null && { cardFreeGB: Math.round(this.cardGB * 10) / 10 }),
    };
  }

  private drain(status: RigStatus, runNow: number): void {
    const minutes = Math.max(0, runNow - this.lastTickRunMs) / 60_000;
    this.lastTickRunMs = runNow;
    const { battery, card } = this.person;
    this.batteryPct = Math.max(3, this.batteryPct - minutes * battery.perMinutePct);
    const running = status.recording === true || this.rig.kind === "wide-camera";
    if (card && this.cardGB !== null && running) {
      this.cardGB = Math.max(0, this.cardGB - minutes * card.perMinuteGB);
    }
  }

  /** S7: obeyed by everybody who has something to cover; afterwards the filter goes back on. */
  private *cover({ cover, view }: Scene): Generator<Report> {
    if (cover && !this.covered) {
      this.toldReleaseAt ??= view.runNow + this.reaction("cover") + 1500;
      if (view.runNow < this.toldReleaseAt) return;
      this.covered = true;
      this.toldReleaseAt = null;
      if (this.filtered) yield { filter: "capped" };
    } else if (!cover && this.covered) {
      this.toldReleaseAt ??= view.runNow + this.reaction("release") + 5000;
      if (view.runNow < this.toldReleaseAt) return;
      this.covered = false;
      this.toldReleaseAt = null;
      if (this.filtered) yield { filter: "on", looked: true };
    } else this.toldReleaseAt = null;
  }

  private *happens({ contacts, runNow }: RunView): Generator<Report> {
    for (; ; this.momentsSeen++) {
      const moment = this.person.moments[this.momentsSeen];
      if (!moment) return;
      const anchor = anchorMs(contacts, moment.anchor);
      if (anchor === null) continue;
      const at = anchor + moment.offsetS * 1000;
      if (runNow < at) return;
      if (at < this.startRunMs) continue;
      this.holds(moment.report);
      yield moment.report;
    }
  }

  private *follow(view: PutCue, scene: Scene): Generator<Report> {
    const { cue, id, dueMs, state } = view;
    const asksForHands = cue.confirm || cue.handsS > 0;
    const { work } = scene;
    const ordered = cue.handsS > 0 && work?.binds(this.rig.id) ? work : null;
    const due = state === "now" || state === "late" || state === "skipped";
    if (!asksForHands || this.done.has(id) || state === "done" || (!due && !ordered)) return;
    // What should have been capped before this practice began is capped at once (S12).
    const overdue = cue.action === "cap" && state === "late" && dueMs < this.startRunMs;
    let doneAt =
      (overdue ? this.startRunMs : dueMs) + this.reaction(id) + HANDS_PART * Math.min(cue.handsS, 12) * 1000;
    if (ordered && !overdue) {
      const at = ordered.at(this.rig.id, id, scene.view.contacts);
      if (!at || at.fromMs < this.startRunMs) return;
      // What asks for no word is told of as it is begun: that is what its window means.
      doneAt = cue.confirm ? at.toMs : at.fromMs;
    } else if (dueMs < this.startRunMs && !overdue) return;
    const { forgets } = this.person;
    if (forgets?.cueId === cue.id && !this.reminded(scene, dueMs)) {
      doneAt = Math.max(doneAt, dueMs + forgets.remindedAfterS * 1000);
    }
    if (scene.view.runNow < doneAt) return;
    if (view.mode === "by-eye") {
      // Says what is seen; the cue is put plainly from then on.
      if (!this.sawTotality && this.seesTotality(scene)) {
        this.sawTotality = true;
        yield { sawTotality: true };
      }
      return;
    }
    if (isHeld(view.mode)) return;
    if (cue.action === "filter-off" && state === "skipped") return;
    this.done.add(id);
    const shoots = cue.action === "exposure" || cue.action === "burst";
    if (shoots && this.person.card && this.cardGB !== null) {
      this.cardGB = Math.max(0, this.cardGB - this.person.card.perShotGB);
    }
    yield {
      cueDone: id,
      ...(cue.action === "record" && { recording: true }),
      ...(cue.action === "stop" && { recording: false }),
      ...(shoots && this.stock()),
    };
  }

  /** A message of the lead to this rig, or to all, since the cue came due. */
  private reminded({ state, view, now }: Scene, dueMs: number): boolean {
    const sinceUtcMs = now - (view.runNow - dueMs);
    return state.messages.some(
      ({ sentUtcMs, rigIds }) =>
        sentUtcMs > sinceUtcMs && now - sentUtcMs > 2500 && (rigIds === null || rigIds.includes(this.rig.id)),
    );
  }

  /** What an operator at this place would see by eye. */
  private seesTotality({ state, view }: Scene): boolean {
    return inTotality(state, view.contacts, view.runNow);
  }

  private reaction(id: string): number {
    const known = this.reactionMs.get(id);
    if (known !== undefined) return known;
    const [least, most] = this.person.reactionS;
    const ms = (least + (most - least) * this.random()) * 1000;
    this.reactionMs.set(id, ms);
    return ms;
  }

  private get filtered(): boolean {
    return this.rig.filter !== "none by design";
  }
}
