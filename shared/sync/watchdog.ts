/**
 * When to give up a silent link and how long to try a new one. Pure.
 *
 * A TCP connection over a link that was away waits for its back-off (15 s and more after 30 s of
 * silence, measured on the network rig). Closing and opening anew needs a second. So: three bursts
 * unanswered and nothing else heard → close; then attempts one after another, each short. Most
 * attempts last 0.9 s so that the first one after the link's return begins soon; every third lasts
 * 1.9 s so that slow paths (four journeys there and back of up to 0.45 s) get through as well.
 * The first exchange then comes within 1.5 s of the link's return on paths of usual delay.
 */
import type { MonoMs } from "../time/instants.ts";

/** What to do now. `reopen`: drop the connection (or the attempt) at once and begin a new one. */
export type LinkAction = "wait" | "probe" | "reopen";

export const UNANSWERED_LIMIT = 3;
/** While an answer is missing, ask again after three usual round trips, within these limits, ms. */
const [NUDGE_LEAST_MS, NUDGE_MOST_MS] = [400, 1500];

export class LinkWatchdog {
  private unanswered: number[] = [];
  private phase: "closed" | "opening" | "open" = "closed";
  private phaseSince = Number.NEGATIVE_INFINITY;
  private attempts = 0;
  /** Usual time from a burst to its answer, ms. */
  private roundMs = 50;
  private heard = Number.NEGATIVE_INFINITY;

  /** An attempt to connect begins. */
  noteOpening(mono: MonoMs): void {
    this.phase = "opening";
    this.phaseSince = mono;
    this.unanswered = [];
    this.attempts++;
  }

  noteOpen(mono: MonoMs): void {
    this.phase = "open";
    this.phaseSince = mono;
    this.heard = mono;
    this.unanswered = [];
  }

  noteClosed(mono: MonoMs): void {
    this.phase = "closed";
    this.phaseSince = mono;
  }

  noteSent(mono: MonoMs): void {
    this.unanswered.push(mono);
  }

  /** Anything arrived from the hub. */
  noteHeard(mono: MonoMs): void {
    this.heard = mono;
    this.attempts = 0;
    const asked = this.unanswered.findLast((sent) => sent <= mono);
    if (asked !== undefined) this.roundMs += 0.2 * (mono - asked - this.roundMs);
    this.unanswered = this.unanswered.filter((sent) => sent > mono);
  }

  /** How long the present attempt may take, ms. */
  attemptMs(): number {
    return this.attempts % 3 === 0 ? 1900 : 900;
  }

  /** On slow paths a lost packet is sent again late: more patience there, or good links are dropped. */
  private nudgeMs(): number {
    return Math.max(NUDGE_LEAST_MS, Math.min(NUDGE_MOST_MS, 3 * this.roundMs));
  }

  /** Decides at an instant; ask about four times a second. */
  decide(mono: MonoMs): LinkAction {
    if (this.phase === "closed") return "reopen";
    if (this.phase === "opening") return mono - this.phaseSince >= this.attemptMs() ? "reopen" : "wait";
    const first = this.unanswered[0];
    if (first === undefined) return "wait";
    // By the first one's age, too: polls may come faster than nudges, and must not put this off.
    const enough = this.unanswered.length >= UNANSWERED_LIMIT;
    if (enough && mono - first >= UNANSWERED_LIMIT * this.nudgeMs()) return "reopen";
    const last = this.unanswered[this.unanswered.length - 1] ?? first;
    return enough || mono - last < this.nudgeMs() ? "wait" : "probe";
  }

  /** Time since anything was heard, ms. */
  silentMs(mono: MonoMs): number {
    return mono - this.heard;
  }
}
