/**
 * A session in which a drill lies over what a phone knows: a practice of its own that nobody else is told
 * of. What is reported in it stays here, and is gone with the page; clock, link, cover and messages are
 * the real ones, and so is what is said to the lead: a call for help, a message seen, an answer to a roll call, and that a filter is really off: what
 * of it would be gone with the page somebody has to look at (S9). It ends by itself: with its segment, 20 minutes before the real C1 (S8), when a lead
 * starts a practice, and when "Cover every lens" is heard (S7).
 */
import { ownValue } from "../../shared/fields/own-key.ts";
import type { SessionView } from "../../shared/link/session-types.ts";
import type { Anchor } from "../../shared/plan/model/vocabulary.ts";
import type { Review } from "../../shared/review/review.ts";
import { reviewCollected } from "../../shared/review/review.ts";
import { RunCollector } from "../../shared/review/run-collector.ts";
import { anchorMs, plannedContacts } from "../../shared/run/effective-contacts.ts";
import { EVENT_VERSIONS, type PracticeStarted, type SiteEvent } from "../../shared/run/events.ts";
import { evolve } from "../../shared/run/evolve.ts";
import { decideFact } from "../../shared/run/facts/decide-fact.ts";
import { filterVerdict } from "../../shared/run/facts/filter-state.ts";
import type { Report } from "../../shared/run/facts/report-schema.ts";
import { recordOf } from "../../shared/run/facts/rig-record.ts";
import { isTouchOnly, realSunUp } from "../../shared/run/facts/touch-only.ts";
import { currentRun, PRACTICE_CLEAR_MS, practiceAt, practiceEndMs } from "../../shared/run/run-time.ts";
import type { SiteState } from "../../shared/run/state.ts";
import { later, type UtcMs, utcMs } from "../../shared/time/instants.ts";
import type { PageSession } from "../link/open-session.ts";

export interface Segment {
  from: { anchor: Anchor; offsetS: number };
  until: { anchor: Anchor; offsetS: number };
}

export type WhyNot = "nothing known" | "no such contact" | "near the eclipse" | "practice on" | "covered";

const ACTOR = "drill";
/** Said to the lead whatever is practised. */
const TO_LEAD = ["help", "messageSeen", "ready"] as const;

/** Runs of a state as nobody but this phone sees them: without calls, shifts and variants of the real one. */
function predicted(state: SiteState) {
  const real = ownValue(state.runs, state.realRunId);
  return real ? plannedContacts(state) : null;
}

/** Whether a segment can be drilled now, or why not. */
export function mayDrill({ state, cover }: SessionView, segment: Segment, now: UtcMs): WhyNot | null {
  const contacts = state && predicted(state);
  if (!state || !contacts) return "nothing known";
  if (cover) return "covered";
  if (practiceAt(state, now)) return "practice on";
  const { c1, c4 } = contacts;
  if (c1 !== null && c4 !== null && now >= c1 - PRACTICE_CLEAR_MS && now <= c4) return "near the eclipse";
  const known = [segment.from, segment.until].every(({ anchor }) => anchorMs(contacts, anchor) !== null);
  return known ? null : "no such contact";
}

export class DrillSession implements PageSession {
  private readonly events: SiteEvent[] = [];
  private readonly listeners = new Set<() => void>();
  private readonly practice: PracticeStarted;
  private cached: { of: SessionView; events: number; view: SessionView } | null = null;
  private said = 0;
  /** Rigs whose filter was said here to be really off. */
  private readonly opened = new Set<string>();

  /** Only where mayDrill says so; throws otherwise. */
  constructor(
    private readonly real: PageSession,
    segment: Segment,
    rate: number,
  ) {
    const { state } = real.view();
    const now = real.now();
    const contacts = state && predicted(state);
    const from = contacts && anchorMs(contacts, segment.from.anchor);
    const until = contacts && anchorMs(contacts, segment.until.anchor);
    if (!state || from === null || until === null) throw new Error("there is nothing to drill");
    const startRunMs = later(from, segment.from.offsetS * 1000);
    const lastsMs = (until + segment.until.offsetS * 1000 - startRunMs) / rate;
    this.practice = {
      runId: `practice-drill-${Math.round(now)}`,
      ...segment.from,
      rate,
      startedUtcMs: now,
      startRunMs,
      endsAtUtcMs: utcMs(now + lastsMs),
    };
    this.note("practiceStarted", this.practice, now);
  }

  /** Whether it goes on; what ended it stays in the real view. */
  isOn(): boolean {
    const { state, cover } = this.real.view();
    const now = this.real.now();
    return (
      state !== null && !cover && practiceAt(state, now) === null && now < practiceEndMs(state, this.practice)
    );
  }

  subscribe = (listener: () => void): (() => void) => {
    this.listeners.add(listener);
    const leave = this.real.subscribe(listener);
    return () => {
      this.listeners.delete(listener);
      leave();
    };
  };

  view = (): SessionView => {
    const of = this.real.view();
    if (this.cached?.of === of && this.cached.events === this.events.length) return this.cached.view;
    const state = of.state && this.drilled(of.state);
    const view = { ...of, state, queued: 0, rejected: [] };
    this.cached = { of, events: this.events.length, view };
    return view;
  };

  now = () => this.real.now();
  reading = () => this.real.reading();
  monoAt = (at: UtcMs) => this.real.monoAt(at);
  setArmed = (armed: boolean) => this.real.setArmed(armed);
  noteOrdersSeen = () => this.real.noteOrdersSeen();
  noteRead = (messageId: string) => this.real.noteRead(messageId);
  join = (): void => {};
  close = (): void => {};

  /** Stays on this page, but for what is said to the lead. Rejects where that could not be kept. */
  report = async (rigId: string, report: Report): Promise<void> => {
    const said = this.keep(rigId, report);
    for (const field of TO_LEAD)
      if (report[field] !== undefined) Object.assign(said, { [field]: report[field] });
    if (Object.keys(said).length > 0) await this.real.report(rigId, said);
  };

  /** Gives what of it is to be known of the real filter. */
  private keep(rigId: string, report: Report): Report {
    const { state } = this.view();
    if (!state || !this.isOn()) return {};
    const now = this.real.now();
    const fact = {
      ...{ v: 1 as const, rigId, runId: this.practice.runId, deviceSeq: ++this.said },
      ...{ observedUtcMs: now, boundMs: null, report },
    };
    const context = { actor: ACTOR, commandId: `${this.said}`, deviceId: ACTOR, now, linkRevoked: false };
    const seq = state.seq + 1;
    const event = decideFact(state, fact, context);
    this.take({ ...event, seq, loggedUtcMs: now } as SiteEvent);
    return this.ofRealFilter(rigId, event.payload, now);
  }

  /**
   * A touch says nothing of the real filter (S8). One that is off under the real Sun is off; of one that
   * came off under a cap nobody knows, once this page is gone, what it is: then it is asked for (S9).
   */
  private ofRealFilter(rigId: string, { filter, looked }: Report, now: UtcMs): Report {
    const real = this.real.view().state;
    if (!real || filter === undefined) return {};
    if (filter !== "off") return this.opened.has(rigId) ? { filter, ...(looked && { looked }) } : {};
    this.opened.add(rigId);
    if (this.touches(rigId, real, now)) return { filter };
    const known = filterVerdict(recordOf(real, currentRun(real, now), rigId).filter).state;
    return known === "off" ? {} : { filter: "unknown" };
  }

  /** How it went so far, of these rigs. */
  review(rigIds: readonly string[]): Review | null {
    const { state } = this.real.view();
    if (!state) return null;
    const collector = new RunCollector(this.practice.runId);
    const drilled = this.drilled(state);
    for (const event of this.events) collector.take(event, drilled);
    const until = Math.min(this.real.now(), practiceEndMs(state, this.practice));
    const review = reviewCollected(collector, utcMs(until));
    const mine = ({ rigId }: { rigId: string }) => rigIds.includes(rigId);
    return review && { ...review, cues: review.cues.filter(mine), filters: review.filters.filter(mine) };
  }

  /** Of these rigs, those whose filter is touched only: what is told of it afterwards orders nothing else (S8). */
  touchOnly(rigIds: readonly string[]): string[] {
    const { state } = this.real.view();
    return state ? rigIds.filter((rigId) => this.touches(rigId, state, this.real.now())) : [];
  }

  private touches(rigId: string, real: SiteState, now: UtcMs): boolean {
    const { runs } = this.drilled(real);
    const run = ownValue(runs, this.practice.runId);
    const safe = run && recordOf({ ...real, runs }, run, rigId).practiceSafe?.value;
    return isTouchOnly("practice", safe ?? false, realSunUp(real, now));
  }

  private drilled(state: SiteState): SiteState {
    return { ...this.events.reduce(evolve, state), seq: state.seq };
  }

  private note(type: "practiceStarted", payload: PracticeStarted, at: UtcMs): void {
    this.take({
      ...{ seq: 0, runId: payload.runId, type, v: EVENT_VERSIONS[type], actor: ACTOR, commandId: ACTOR },
      ...{ observedUtcMs: at, loggedUtcMs: at, boundMs: null, deviceId: null, deviceSeq: null, payload },
    });
  }

  private take(event: SiteEvent): void {
    this.events.push(event);
    for (const listener of [...this.listeners]) listener();
  }
}
