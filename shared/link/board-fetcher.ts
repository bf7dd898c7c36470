/**
 * A board's client for the crowd: it fetches the signed document from whoever serves it, sets its own
 * clock by probes of the time, and believes nobody. No socket, no storage, no name.
 *
 * What serves it may be a cache, a relay, or somebody who lies. So a document is shown only when its
 * signature holds for the key of the page's own address (where the address has none, for the first key
 * that was heard); an older number is refused; what has run out is shown as times only. A relay's word
 * on the time is held against what the documents say of theirs, which cannot have been signed later
 * than now, and against this device's own clock: where that is ahead, "glasses on" reckons with it (S5,
 * a disagreement of a witness). The clock of a device never makes "glasses on" later.
 */
import { type BoardDocument, readDocument, splitSigned } from "../protocol/board-document.ts";
import { readTime } from "../protocol/time-answer.ts";
import { ClockFollower } from "../sync/follower.ts";
import { BOARD_PACE } from "../sync/pace.ts";
import type { Clock } from "../time/clock.ts";
import { type MonoMs, type UtcMs, utcMs } from "../time/instants.ts";
import type { BoardClientView, BoardTrouble } from "./board-client.ts";
import { boardGapMs } from "./board-pace.ts";
import type { ClockReading, LinkState, Timers } from "./session-types.ts";

export interface BoardReply {
  status: number;
  /** Where the status is 200. */
  text: string;
  etag: string | null;
  /**
   * How long it asks to be left alone, ms; 0 when it does not. Beside an answer: it is an old one, and a new
   * one will be there by then.
   */
  retryAfterMs: number;
}

export interface FetchPorts {
  clock: Clock;
  timers: Timers;
  /** The public key in the page's own address; null where it has none. */
  key: string | null;
  /** Rejects where nothing answers. */
  askBoard(etag: string | null): Promise<BoardReply>;
  /** `regular`: the one a minute by which boards are counted. */
  askTime(regular: boolean): Promise<unknown>;
  /** Whether a signature holds (Ed25519). Rejects where this device cannot tell. */
  check(signed: string, signature: string, key: string): Promise<boolean>;
  /** 0 … 1 */
  chance(): number;
}

const FIRST_PROBES = 5;
const PROBE_GAP_MS = 150;
const PROBE_EVERY_MS = 60_000;
/** While the time is not known. */
const PROBE_AGAIN_MS = 5000;
const TICK_MS = 500;
/** A page shown again looks at once when it has not for so long, ms. */
const STALE_MS = 3000;
/** A document signed so much later than a relay's time, beyond its bound and the hub's doubt, says that one is wrong, ms. */
const TIME_WRONG_MS = 2000;
/** An own clock that is so far ahead is told: glasses go on earlier by as much, or never come off, ms. */
const OWN_AHEAD_MS = 5000;

interface Held {
  document: BoardDocument;
  atMono: MonoMs;
}

export class BoardFetcher {
  private readonly follower = new ClockFollower(BOARD_PACE);
  private readonly listeners = new Set<() => void>();
  private cached: BoardClientView | null = null;
  private held: Held | null = null;
  private etag: string | null = null;
  private firstKey: string | null = null;
  private trouble: BoardTrouble | null = null;
  private failures = 0;
  private looking = false;
  /** This look was asked for by the answer to the last one. */
  private cameAgain = false;
  private lookedAt = Number.NEGATIVE_INFINITY;
  /** Questions for the time under way: a relay that is slow is not asked the same twice. */
  private probing = 0;
  private probeDue = Number.NEGATIVE_INFINITY;
  /**
   * UTC − the monotonic clock was no less than this, by documents that were signed then, before the hub's
   * clock was set back at all. For one start of the hub.
   */
  private floor = { epoch: "", ms: Number.NEGATIVE_INFINITY };
  private lastUnsynced = 0;
  private state: LinkState = "never linked";
  private sinceUtcMs: UtcMs | null = null;
  private stopped = false;
  private cancelLook: () => void = () => undefined;
  private cancelTick: () => void = () => undefined;

  constructor(private readonly ports: FetchPorts) {}

  start(): void {
    this.burst();
    void this.look();
    this.tick();
  }

  stop(): void {
    this.stopped = true;
    this.cancelLook();
    this.cancelTick();
    this.listeners.clear();
  }

  subscribe(listener: () => void): () => void {
    this.listeners.add(listener);
    return () => this.listeners.delete(listener);
  }

  view(): BoardClientView {
    this.cached ??= {
      linkState: this.state,
      sinceUtcMs: this.sinceUtcMs,
      board: this.held?.document ?? null,
      cover: this.held?.document.cover ?? false,
      refused: null,
      heard: this.heard(),
      trouble: this.timeIsWrong() ? "time" : (this.trouble ?? (this.ownClockIsAhead() ? "own clock" : null)),
      checked: this.ports.key === null ? "first heard" : "by address",
    };
    return this.cached;
  }

  reading(): ClockReading {
    const mono = this.ports.clock.mono();
    const wall = this.ports.clock.wall();
    const read = this.follower.read(mono);
    if (!read) {
      this.lastUnsynced = Math.max(this.lastUnsynced, wall, mono + this.floorOffsetMs());
      const unknown = Number.POSITIVE_INFINITY;
      return { utcMs: utcMs(this.lastUnsynced), boundMs: unknown, utcBoundMs: unknown, state: "none" };
    }
    const now = Math.max(read.utcMs, mono + this.floorOffsetMs());
    const aheadMs = Math.max(0, wall - now);
    const boundMs = this.timeIsWrong() ? Number.POSITIVE_INFINITY : Math.max(read.utcBoundMs, aheadMs);
    return { utcMs: utcMs(now), boundMs, utcBoundMs: boundMs, state: read.state };
  }

  /** What stands against a relay's time is in its bound already. */
  apartMs(): number {
    return 0;
  }

  /** Call when the page is shown again or the network has come back. */
  wake(): void {
    if (this.stopped) return;
    const { mono } = this.ports.clock;
    this.noteClocks();
    if (mono() - this.lookedAt < STALE_MS) return;
    this.burst();
    void this.look();
  }

  noteSuspension(): void {
    const { mono, wall } = this.ports.clock;
    this.follower.noteSuspension(mono(), wall());
    this.lookedAt = Number.NEGATIVE_INFINITY;
    this.wake();
  }

  private async look(): Promise<void> {
    if (this.looking || this.stopped) return;
    this.cancelLook();
    this.looking = true;
    this.lookedAt = this.ports.clock.mono();
    let retryAfterMs = 0;
    try {
      const { etag } = this;
      const reply = await this.ports.askBoard(etag);
      retryAfterMs = reply.retryAfterMs;
      if (reply.status === 200) {
        this.failures = 0;
        const refused = await this.take(reply.text);
        this.trouble = refused;
        // What was refused is asked for in full again: another relay may answer.
        this.etag = refused === null ? reply.etag : null;
      } else if (reply.status === 304 && etag !== null) {
        this.failures = 0;
        this.trouble = null;
      } else this.failures++;
    } catch {
      this.failures++;
    }
    this.looking = false;
    if (this.stopped) return;
    this.judge();
    this.changed();
    const chance = this.ports.chance();
    const pacedMs = boardGapMs({
      document: this.held?.document ?? null,
      nowUtcMs: this.reading().utcMs,
      failures: this.failures,
      retryAfterMs,
      chance,
    });
    // Once: nobody is kept asking by it.
    const again = this.failures === 0 && retryAfterMs > 0 && !this.cameAgain;
    this.cameAgain = again;
    const gapMs = again ? Math.min(pacedMs, retryAfterMs * (1 + 0.2 * chance)) : pacedMs;
    this.cancelLook = this.ports.timers.after(gapMs, () => void this.look());
  }

  /** Why it is not taken; null when it is. */
  private async take(text: string): Promise<BoardTrouble | null> {
    const parts = splitSigned(text);
    const document = readDocument(text);
    if (!parts || !document) return "altered";
    const key = this.ports.key ?? this.firstKey ?? document.key;
    if (document.key !== key) return "other site";
    try {
      if (!(await this.ports.check(parts.signed, parts.signature, key))) return "altered";
    } catch {
      return "uncheckable";
    }
    this.firstKey = key;
    const before = this.held?.document;
    if (before && document.number < before.number) return "older";
    if (before?.number === document.number) return null;
    const atMono = this.ports.clock.mono();
    this.held = { document, atMono };
    const { epoch, backMs } = document.clock;
    const ms = document.issuedUtcMs + backMs - atMono;
    this.floor = { epoch, ms: epoch === this.floor.epoch ? Math.max(this.floor.ms, ms) : ms };
    return null;
  }

  /** What is held has not run out, by the relay's time and by how long it has been here. */
  private alive(): boolean {
    if (!this.held) return false;
    const { validUntilUtcMs, issuedUtcMs } = this.held.document;
    const hereMs = this.ports.clock.mono() - this.held.atMono;
    const { utcMs: now, state } = this.reading();
    return state !== "none" && now < validUntilUtcMs && hereMs < validUntilUtcMs - issuedUtcMs;
  }

  /** Calls arrive, and the word by which glasses may be off has not run out. */
  private heard(): boolean {
    return this.state === "linked" && !this.ownClockSaysOver();
  }

  /** By this device's own clock the word by which glasses may be off has run out. */
  private ownClockSaysOver(): boolean {
    const document = this.held?.document;
    if (!document || document.calledTotalityMs === null) return false;
    return this.ports.clock.wall() >= document.validUntilUtcMs;
  }

  /** UTC − the monotonic clock is no less than this. */
  private floorOffsetMs(): number {
    return this.floor.ms - (this.held?.document.clock.backMs ?? 0);
  }

  private timeIsWrong(): boolean {
    const mono = this.ports.clock.mono();
    const read = this.follower.read(mono);
    const document = this.held?.document;
    if (!read || !document) return false;
    const allowedMs = read.utcBoundMs + document.doubtS * 1000 + TIME_WRONG_MS;
    return mono + this.floorOffsetMs() - read.utcMs > allowedMs;
  }

  private ownClockIsAhead(): boolean {
    const { utcMs: now, state } = this.reading();
    return state !== "none" && this.ports.clock.wall() - now > OWN_AHEAD_MS;
  }

  private burst(): void {
    this.probeDue = this.ports.clock.mono() + PROBE_AGAIN_MS;
    for (let n = 0; n < FIRST_PROBES; n++)
      this.ports.timers.after(n * PROBE_GAP_MS, () => void this.probe(false));
  }

  private async probe(regular: boolean): Promise<void> {
    if (this.stopped) return;
    const { clock } = this.ports;
    const t1 = clock.mono();
    this.follower.noteProbe(t1);
    this.probing++;
    try {
      const answer = readTime(await this.ports.askTime(regular));
      const t4 = clock.mono();
      if (!answer) return;
      const at = answer.utcMs;
      this.follower.addSample({ t1, t2: at, t3: at, t4, hubBoundMs: answer.boundMs });
      this.probeDue = t4 + PROBE_EVERY_MS * (0.8 + 0.4 * this.ports.chance());
      this.judge();
    } catch {
      // Asked again at the next tick that is due.
    } finally {
      this.probing--;
    }
  }

  private tick(): void {
    this.cancelTick();
    if (this.stopped) return;
    const { clock, timers } = this.ports;
    this.cancelTick = timers.after(TICK_MS, () => this.tick());
    const mono = clock.mono();
    this.noteClocks();
    if (mono >= this.probeDue && this.probing === 0) {
      this.probeDue = mono + PROBE_AGAIN_MS * (1 + this.ports.chance());
      void this.probe(true);
    }
    this.judge();
  }

  /** Where the two clocks of this device have parted, only who serves the time can say which is right. */
  private noteClocks(): void {
    const { mono, wall } = this.ports.clock;
    if (this.follower.noteWake(mono(), wall()) === 0) return;
    this.probeDue = Math.min(this.probeDue, mono() + PROBE_AGAIN_MS);
    if (this.probing === 0) void this.probe(false);
  }

  /** Says what the link has come to, where that is new. */
  private judge(): void {
    const state: LinkState = !this.held ? "never linked" : this.alive() ? "linked" : "alone";
    if (state !== this.state) {
      this.state = state;
      const { utcMs: now, state: clockState } = this.reading();
      this.sinceUtcMs = clockState === "none" ? null : now;
      this.changed();
    } else if (this.cached && this.cached.heard !== this.heard()) this.changed();
  }

  private changed(): void {
    this.cached = null;
    for (const listener of [...this.listeners]) listener();
  }
}
