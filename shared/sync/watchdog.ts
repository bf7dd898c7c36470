/**
 * When to give up a silent link and how long to try a new one. Pure.
 *
 * A TCP connection over a link that was away waits for its back-off (15 s and more after 30 s of
 * silence, measured on the network rig). Closing and opening anew needs a second. So: three bursts
 * unanswered and nothing else heard → close; then attempts one after another, each short. Most
 * attempts last 0.9 s so that the first one after the link's return begins soon; every third lasts
 * 1.9 s so that slow paths (four journeys there and back of up to 0.45 s) get through as well.
 * The first exchange then comes within 1.5 s of the link's return on paths of usual delay.
 *
 * A hub with too much to do needs patience instead: attempts given up early would only add to its
 * work. So an attempt lasts at least half as long again as the last one that succeeded took; a
 * device that never had a link gives its first attempt 5 s; after a refused attempt the next begins
 * 0.3 s after it. `patience` stretches all this (boards are many: 3).
 */
import type { MonoMs } from "../time/instants.ts";

/** What to do now. `reopen`: drop the connection (or the attempt) at once and begin a new one. */
type LinkAction = "wait" | "probe" | "reopen";

const UNANSWERED_LIMIT = 3;
/** While an answer is missing, ask again after three usual round trips, within these limits, ms. */
const [NUDGE_LEAST_MS, NUDGE_MOST_MS] = [400, 1500];

const FIRST_ATTEMPT_MS = 5000;
const LONGEST_ATTEMPT_MS = 8000;
/** From the beginning of one attempt to that of the next, at least, ms. */
const SPACING_MS = 300;

export class LinkWatchdog {
  private unanswered: number[] = [];
  private phase: "closed" | "opening" | "open" = "closed";
  private attempts = 0;
  /** Usual time from a burst to its answer, ms. */
  private roundMs = 50;
  private heard = Number.NEGATIVE_INFINITY;
  private openingSince = Number.NEGATIVE_INFINITY;
  /** What the last successful attempt took, ms; null before any. */
  private openedInMs: number | null = null;

  constructor(private readonly patience = 1) {}

  /** An attempt to connect begins. */
  noteOpening(mono: MonoMs): void {
    this.phase = "opening";
    this.openingSince = mono;
    this.unanswered = [];
    this.attempts++;
  }

  noteOpen(mono: MonoMs): void {
    this.phase = "open";
    this.openedInMs = mono - this.openingSince;
    this.heard = mono;
    this.unanswered = [];
  }

  noteClosed(_mono: MonoMs): void {
    this.phase = "closed";
  }

  noteSent(mono: MonoMs): void {
    this.unanswered.push(mono);
  }

  /** Anything arrived from the hub. */
  noteHeard(mono: MonoMs): void {
    this.heard = mono;
    this.attempts = 0;
    const asked = this.unanswered[this.unanswered.length - 1];
    if (asked !== undefined && asked <= mono) this.roundMs += 0.2 * (mono - asked - this.roundMs);
    this.unanswered = this.unanswered.filter((sent) => sent > mono);
  }

  /** How long the present attempt may take, ms. */
  attemptMs(): number {
    const every = this.attempts % 3 === 0 ? 1900 : 900;
    const usual =
      this.openedInMs === null ? (this.attempts % 3 === 1 ? FIRST_ATTEMPT_MS : 1900) : 1.5 * this.openedInMs;
    return Math.min(LONGEST_ATTEMPT_MS, Math.max(every, usual) * this.patience);
  }

  /** On slow paths a lost packet is sent again late: more patience there, or good links are dropped. */
  private nudgeMs(): number {
    return Math.max(NUDGE_LEAST_MS, Math.min(NUDGE_MOST_MS, 3 * this.roundMs));
  }

  /** Decides at an instant; ask about four times a second. */
  decide(mono: MonoMs): LinkAction {
    if (this.phase === "closed")
      return mono - this.openingSince >= SPACING_MS * this.patience ? "reopen" : "wait";
    if (this.phase === "opening") return mono - this.openingSince >= this.attemptMs() ? "reopen" : "wait";
    const first = this.unanswered[0];
    if (first === undefined) return "wait";
    // By the first one's age, too: polls may come faster than nudges, and must not put this off.
    const enough = this.unanswered.length >= UNANSWERED_LIMIT;
    if (enough && mono - first >= UNANSWERED_LIMIT * this.nudgeMs()) return "reopen";
    const last = this.unanswered[this.unanswered.length - 1] ?? first;
    return enough || mono - last < this.nudgeMs() ? "wait" : "probe";
  }

  /** Whether an attempt to connect is under way. */
  get opening(): boolean {
    return this.phase === "opening";
  }

  /** Time since anything was heard, ms. */
  silentMs(mono: MonoMs): number {
    return mono - this.heard;
  }
}
