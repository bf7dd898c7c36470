/**
 * What a page or an agent sees of the hub, and the ports through which a session reaches socket,
 * storage and clock. Implementation: session.ts.
 */
import type { Asking, ClientData, Hello, HubMessage, Telling, Welcome } from "../protocol/messages.ts";
import type { Alert } from "../run/alerts/alerts.ts";
import type { ClockHealth } from "../run/doubt.ts";
import type { Fact } from "../run/orders/commands.ts";
import type { Refusal } from "../run/orders/refusal.ts";
import type { SiteState } from "../run/state.ts";
import type { Presence } from "../run/views/presence.ts";
import type { Clock } from "../time/clock.ts";
import type { UtcMs } from "../time/instants.ts";
import type { SavedOrders } from "./missed-orders.ts";

/** The truth about the link, as the top line says it. */
export type LinkState = "never linked" | "linked" | "catching up" | "alone";

export interface SessionView {
  linkState: LinkState;
  /** Since when, by the eclipse clock; null while it has never been set. */
  sinceUtcMs: UtcMs | null;
  /** What is known, with this device's own queued facts already taken in; null before any state. */
  state: SiteState | null;
  presence: Presence;
  /** Leads only. */
  alerts: readonly Alert[];
  /** "Cover every lens" has been heard, before or after it was logged (S7). */
  cover: boolean;
  rigIds: readonly string[];
  /** Kept over a reload; "other hub": a hub that does not know this device answers at the address. */
  refusedRigs: readonly RefusedRig[];
  /** The links this device speaks by; another array when the hub has settled one of them. */
  links: readonly RigLink[];
  /** Rigs whose newer code the hub did not take: the link they had before goes on. */
  formerKept: readonly string[];
  /** Facts waiting for the hub. */
  queued: number;
  /** Facts the hub refused for their form; they stay visible. */
  rejected: readonly { id: string; fact: Fact; refusal: Refusal }[];
  /** Of each order that came while this device was away and was not shown (they are never late), its run. */
  missedOf: readonly string[];
  /** Ids of calls and messages that are not to be shown as new: missed, or read. */
  oldOrders: readonly string[];
  /** Why the hub does not let this client in; where its links are not good it asks again by itself. */
  refused: Refusal | null;
  clockHealth: ClockHealth;
}

export interface RefusedRig {
  rigId: string;
  reason: Welcome["refused"][number]["reason"] | "other hub";
}

export interface RigLink {
  id: string;
  token: string;
  /** The token it had before, until a hub has taken the newer one. */
  former?: string;
}

/** A hub's word on one link, with the token it was said of. */
export interface SavedVerdict extends RefusedRig {
  token: string;
}

export interface ClockReading {
  utcMs: UtcMs;
  /** Against the hub. */
  boundMs: number;
  /** Against UTC. */
  utcBoundMs: number;
  state: "none" | "linked" | "holdover";
}

export interface SocketPort {
  readonly connected: boolean;
  connect(): void;
  /** Closes, if need be at once, without waiting for the other side. */
  disconnect(): void;
  setAuth(hello: Hello): void;
  /** What comes is unknown until it was looked at (from-hub.ts). */
  on(event: HubMessage | "connect" | "disconnect" | "connect_error", listener: (data: unknown) => void): void;
  emit<Name extends Telling>(name: Name, data: ClientData<Name>): void;
  /** Sends and waits for the answer; rejects after the time or when the link is lost. */
  request<Name extends Asking>(name: Name, data: ClientData<Name>, timeoutMs: number): Promise<unknown>;
}

/** What survives a reload. Every promise resolves when the data is safe. */
export interface StorePort {
  load(): Promise<SavedSession | null>;
  saveState(saved: SavedState): Promise<void>;
  saveClock(saved: unknown): Promise<void>;
  /**
   * Adds a fact to the outbox under a number of this device that none had before it, not below the
   * one it carries, and resolves with that number: several pages of one device draw from one row.
   */
  queue(item: QueuedFact): Promise<number>;
  /** What waits in the outbox, whichever page of this device put it there. */
  waiting(): Promise<QueuedFact[]>;
  unqueue(id: string): Promise<void>;
  reject(item: QueuedFact, refusal: Refusal): Promise<void>;
}

export interface QueuedFact {
  id: string;
  fact: Fact;
}

/** What is known of the site, and what must be obeyed though no hub is near. */
export interface SavedState {
  epoch: string;
  state: SiteState;
  /** Of the program that folded it: another one may read it wrongly, and asks for it anew. */
  evolveVersion: number;
  /** What the hub said of "cover every lens" outside its log; null: the state says it. */
  cover: boolean | null;
  verdicts: readonly SavedVerdict[];
  /** Absent in what an earlier program has saved. */
  orders?: SavedOrders;
}

export interface SavedSession {
  deviceId: string;
  state: SavedState | null;
  clock: unknown;
  outbox: QueuedFact[];
  rejected: { id: string; fact: Fact; refusal: Refusal }[];
}

export interface Timers {
  /** Runs `task` after so many ms; the answer cancels it. */
  after(ms: number, task: () => void): () => void;
}

/** What a link to the hub stands on. */
export interface LinkPorts {
  clock: Clock;
  timers: Timers;
  socket: SocketPort;
}

export interface SessionPorts extends LinkPorts {
  store: StorePort;
  newId: () => string;
}
