/**
 * A board's client: a clock and the newest snapshot, and nothing else. It has no device, keeps
 * nothing over a reload, sends nothing but probes, and folds no events.
 */
import type { BoardSnapshot, Hello } from "../protocol/messages.ts";
import { PROTOCOL } from "../protocol/version.ts";
import type { Refusal } from "../run/orders/refusal.ts";
import { BOARD_PACE } from "../sync/pace.ts";
import type { UtcMs } from "../time/instants.ts";
import { isBoard, isWelcome } from "./from-hub.ts";
import { HubLink, type LinkUser } from "./hub-link.ts";
import type { ClockReading, LinkPorts, LinkState } from "./session-types.ts";

/** Hundreds of boards that all knock at once would keep each other out: each waits so many times longer. */
const PATIENCE = 3;

/**
 * Why a fetched document was turned away: its bytes, or the key they were signed with, are not the
 * site's; it is older than what is held; the time that came beside it cannot be right; or this device
 * cannot tell. "own clock": nothing was turned away, but this device's own clock is ahead of the time that
 * came, and one of the two is wrong.
 */
export type BoardTrouble = "altered" | "other site" | "older" | "time" | "uncheckable" | "own clock";

export interface BoardClientView {
  linkState: LinkState;
  /** Since when, by the eclipse clock; null while it has never been set. */
  sinceUtcMs: UtcMs | null;
  /** The newest that was heard; null before any. */
  board: BoardSnapshot | null;
  /** "Cover every lens" has been heard, before or after it was logged (S7). */
  cover: boolean;
  /** Why the hub does not let this board in. */
  refused: Refusal | null;
  /** Calls arrive: glasses may come off by them, and are on again without them. */
  heard: boolean;
  /** What stands against what arrives; null on a socket of the hub itself. */
  trouble: BoardTrouble | null;
  /** By which key what is shown was checked; null on a socket of the hub itself. */
  checked: "by address" | "first heard" | null;
}

export class BoardClient implements LinkUser {
  private readonly link: HubLink;
  private readonly listeners = new Set<() => void>();
  private cached: BoardClientView | null = null;
  private board: BoardSnapshot | null = null;
  /** Heard after the newest snapshot: the next one has it. */
  private coverHeard = false;
  private refusal: Refusal | null = null;

  constructor(ports: LinkPorts) {
    this.link = new HubLink(ports, this, { pace: BOARD_PACE, patience: PATIENCE });
    this.link.hear("welcome", isWelcome, () => {
      this.refusal = null;
      this.link.caughtUp = true;
      this.link.say("linked");
      this.changed();
    });
    this.link.hear("board", isBoard, (board) => {
      this.board = board;
      this.coverHeard = false;
      this.changed();
    });
    this.link.hearWord("cover", () => {
      this.coverHeard = true;
      this.changed();
    });
  }

  start(): void {
    this.link.start();
  }

  stop(): void {
    this.link.stop();
    this.listeners.clear();
  }

  subscribe(listener: () => void): () => void {
    this.listeners.add(listener);
    return () => this.listeners.delete(listener);
  }

  /** The same object until something has changed. */
  view(): BoardClientView {
    this.cached ??= {
      linkState: this.link.state,
      sinceUtcMs: this.link.sinceUtcMs,
      board: this.board,
      cover: this.coverHeard || (this.board?.cover ?? false),
      refused: this.refusal,
      heard: this.link.state === "linked",
      trouble: null,
      checked: null,
    };
    return this.cached;
  }

  reading(): ClockReading {
    return this.link.clock.reading();
  }

  /** How far what contradicts the hub's clock is from it, ms; 0 where nothing does. */
  apartMs(): number {
    return this.link.clock.health().apartMs ?? 0;
  }

  /** Call when the page is shown again or the network has come back. */
  wake(): void {
    this.link.wake();
  }

  noteSuspension(): void {
    this.link.noteSuspension();
  }

  hello(): Hello {
    return { role: "board", protocol: PROTOCOL };
  }

  over(): boolean {
    return this.refusal !== null;
  }

  letIn(): boolean {
    return this.refusal === null;
  }

  holds(): boolean {
    return this.board !== null;
  }

  /** Too many at once is no fault of this board: it asks again. */
  refused(why: Refusal): void {
    if (why.code !== "too-many") this.refusal = why;
  }

  tick(): void {}

  toNextContactMs(): undefined {}

  changed(): void {
    this.cached = null;
    for (const listener of [...this.listeners]) listener();
  }
}
