/**
 * A client's session with the hub: clock, state, outbox and the truth about the link, for pages
 * and Node agents alike. Socket, storage, clock and timers come in as ports.
 *
 * It never gives up: a silent link is closed and opened anew by the watchdog, and everything a
 * person needs goes on from what the device holds. Orders are not queued: they go now or fail.
 */
import type { Answer, BoardSnapshot, Hello, Welcome } from "../protocol/messages.ts";
import { PROTOCOL } from "../protocol/version.ts";
import type { Alert } from "../run/alerts/alerts.ts";
import { contactsOf, nextContact } from "../run/effective-contacts.ts";
import type { SiteEvent } from "../run/events.ts";
import { highestNumberOf } from "../run/facts/filter-state.ts";
import type { Report } from "../run/facts/report-schema.ts";
import type { Order } from "../run/orders/commands.ts";
import type { Refusal } from "../run/orders/refusal.ts";
import { currentRun, practiceAt, runTime } from "../run/run-time.ts";
import { EVOLVE_VERSION, type SiteState } from "../run/state.ts";
import { NOBODY, type Presence } from "../run/views/presence.ts";
import type { Pace } from "../sync/pace.ts";
import { LinkWatchdog } from "../sync/watchdog.ts";
import type { UtcMs } from "../time/instants.ts";
import { Admission } from "./admission.ts";
import {
  missedAmong,
  missedBetween,
  NO_ORDERS,
  type SavedOrders,
  withMissed,
  withOld,
} from "./missed-orders.ts";
import { Outbox } from "./outbox.ts";
import { Replica } from "./replica.ts";
import { Saving } from "./saving.ts";
import type {
  LinkState,
  QueuedFact,
  RigLink,
  SavedState,
  SessionPorts,
  SessionView,
} from "./session-types.ts";
import { SiteClock } from "./site-clock.ts";

export type SessionRole =
  | { role: "lead"; token: string; label: string }
  /** `left`: rigs taken off this device, of which it may still hold reports. */
  | { role: "rig"; rigs: readonly RigLink[]; left?: readonly RigLink[]; label: string }
  | { role: "board" };

const NO_LINKS: readonly RigLink[] = [];
const TICK_MS = 250;
/** How much longer than a rig a board waits at each attempt (shared/sync/watchdog.ts). */
const BOARD_PATIENCE = 3;
const PULSE_MS = 2000;
const WAKE_CHECK_MS = 1000;
const ORDER_TIMEOUT_MS = 8000;
/** A tick this late means that the program stood still, ms. */
const STOOD_STILL_MS = 5000;

export class Session {
  readonly clock: SiteClock;
  private readonly replica = new Replica();
  private readonly outbox: Outbox;
  private readonly watchdog: LinkWatchdog;
  private readonly listeners = new Set<() => void>();
  private cached: SessionView | null = null;
  private deviceId = "";
  private started = false;
  private listening = false;
  private stopped = false;
  private cancelTick: () => void = () => undefined;
  private caughtUp = false;
  private linkState: LinkState = "never linked";
  private sinceUtcMs: UtcMs | null = null;
  /** What the hub said of "cover every lens" outside its log; null: the state says it. */
  private coverSaid: boolean | null = null;
  private armed = false;
  private orders: SavedOrders = NO_ORDERS;
  /** Own facts that the hub has taken, and whose events have not come yet (SPEC L9). */
  private unseen: readonly { item: QueuedFact; seq: number }[] = [];
  private presence: Presence = NOBODY;
  private alerts: readonly Alert[] = [];
  private board: BoardSnapshot | null = null;
  private admission: Admission;
  /** The hub was told of a link that was left, for what still waits here. */
  private saysLeft = false;
  private lastTick = 0;
  private due = { pulse: 0, wake: 0 };
  private readonly saving: Saving;

  constructor(
    private role: SessionRole,
    private readonly ports: SessionPorts,
    pace?: Pace,
  ) {
    this.clock = new SiteClock(ports.clock, pace);
    this.admission =
      role.role === "rig" ? new Admission(role.rigs, role.left ?? []) : new Admission(null, []);
    this.saving = new Saving(ports.store, this.clock, () => this.saved());
    // Hundreds of boards that all knock at once would keep each other out.
    this.watchdog = new LinkWatchdog(role.role === "board" ? BOARD_PATIENCE : 1);
    this.outbox = new Outbox(
      ports.store,
      ports.socket,
      () => this.changed(),
      (item, seq) => this.keepOwn(item, seq),
      () => ports.clock.mono(),
    );
  }

  /** Loads what the device holds, then connects. Resolves when the saved state is shown. */
  async start(): Promise<void> {
    if (this.started) return;
    this.started = true;
    const saved = await this.ports.store.load().catch(() => null);
    this.deviceId = saved?.deviceId ?? this.ports.newId();
    if (saved?.state?.evolveVersion === EVOLVE_VERSION) {
      this.replica.load(saved.state.epoch, saved.state.state);
      this.coverSaid = saved.state.cover;
      this.admission.load(saved.state.verdicts);
      this.orders = saved.state.orders ?? NO_ORDERS;
    }
    this.outbox.load(saved?.outbox ?? [], saved?.rejected ?? []);
    this.clock.restore(saved?.clock);
    if (this.stopped) return;
    if (this.replica.base) this.setLinkState("alone");
    this.listen();
    this.lastTick = this.ports.clock.mono();
    this.connect();
    this.tick();
    this.changed();
  }

  stop(): void {
    this.stopped = true;
    this.cancelTick();
    this.ports.socket.disconnect();
    this.listeners.clear();
  }

  subscribe(listener: () => void): () => void {
    this.listeners.add(listener);
    return () => this.listeners.delete(listener);
  }

  /** The same object until something has changed. */
  view(): SessionView {
    if (this.cached) return this.cached;
    const own = [...this.unseen.map(({ item }) => item), ...this.outbox.items];
    const state = this.replica.withQueued(own, this.deviceId, this.clock.now());
    this.cached = {
      linkState: this.linkState,
      sinceUtcMs: this.sinceUtcMs,
      state,
      presence: this.presence,
      alerts: this.alerts,
      board: this.board,
      cover: this.coverSaid ?? ((state?.cover ?? null) !== null || (this.board?.cover ?? false)),
      rigIds: this.admission.rigIds,
      refusedRigs: this.admission.refusedRigs,
      links: this.admission.links ?? NO_LINKS,
      formerKept: this.admission.formerKept,
      queued: this.outbox.items.length,
      rejected: this.outbox.rejected,
      missedOrders: this.orders.missed,
      oldOrders: this.orders.old,
      refused: this.admission.refusal,
      clockHealth: this.clock.health(),
    };
    return this.cached;
  }

  /** An order of the lead: answered by the hub, or failed when there is no link. Never sent late. */
  async order(order: Order): Promise<Answer> {
    const unreachable: Answer = {
      ok: false,
      refusal: { code: "internal", message: "no link to the hub: the order was not given" },
    };
    if (!this.ports.socket.connected) return unreachable;
    try {
      const message = { id: this.ports.newId(), order };
      return (await this.ports.socket.request("order", message, ORDER_TIMEOUT_MS)) as Answer;
    } catch {
      return unreachable;
    }
  }

  /**
   * A fact of a rig in this device's hands. Resolves when it is safe on this device; it goes to
   * the hub as soon as there is a link, with the time and the run it happened in.
   */
  async report(rigId: string, report: Report): Promise<void> {
    const reading = this.clock.reading();
    const state = this.replica.base;
    const fact = {
      v: 1,
      rigId,
      runId: state ? currentRun(state, reading.utcMs).runId : null,
      observedUtcMs: reading.utcMs,
      boundMs: Number.isFinite(reading.boundMs) ? reading.boundMs : null,
      report,
    } as const;
    await this.outbox.add({ id: this.ports.newId(), fact }, highestNumberOf(state, this.deviceId) + 1);
    if (this.caughtUp) void this.outbox.flush();
  }

  /** Another page of this device has reported something: it is shown and sent here, too. */
  async readOthers(): Promise<void> {
    await this.outbox.readOthers();
    if (this.caughtUp) void this.outbox.flush();
  }

  /** Told to the lead: this device keeps its screen on and sounds its cues. */
  setArmed(armed: boolean): void {
    this.armed = armed;
    this.due.pulse = 0;
  }

  /** It has been acknowledged that orders were missed. */
  noteOrdersSeen(): void {
    this.remember({ ...this.orders, missed: 0 });
  }

  /** A message has been read: it is not new any more, nor after a reload. */
  noteRead(messageId: string): void {
    this.remember(withOld(this.orders, [messageId]));
  }

  private remember(orders: SavedOrders): void {
    this.orders = orders;
    this.saving.noteChange();
    this.changed();
  }

  /** The rigs in this device's hands have changed: it goes on with what it holds, and comes in anew. */
  join(rigs: readonly RigLink[], left: readonly RigLink[] = []): void {
    if (this.role.role !== "rig") return;
    this.role = { ...this.role, rigs, left };
    const verdicts = this.admission.verdicts();
    this.admission = new Admission(rigs, left);
    this.admission.load(verdicts);
    this.saving.noteChange();
    if (this.listening) this.reopen();
    this.changed();
  }

  /** Call when the page is shown again or the network has come back: look at once. */
  wake(): void {
    const { clock } = this.ports;
    // A page is shown before it has read what it holds: start() connects then.
    if (!this.listening) return;
    this.clock.follower.noteWake(clock.mono(), clock.wall());
    this.clock.follower.requestBurst(clock.mono());
    // A second attempt beside one under way would come in twice; the watchdog ends one that hangs.
    if (!this.ports.socket.connected) {
      this.admission.restUntil = 0;
      if (!this.watchdog.opening) this.connect();
    } else if (this.watchdog.silentMs(clock.mono()) > PULSE_MS) this.probe(1);
  }

  /** The device was frozen or asleep and its monotonic clock may have stood still. */
  noteSuspension(): void {
    this.clock.follower.noteSuspension(this.ports.clock.mono(), this.ports.clock.wall());
    this.wake();
  }

  private listen(): void {
    const { socket } = this.ports;
    this.listening = true;
    socket.on("connect", () => {
      this.caughtUp = false;
      this.watchdog.noteOpen(this.ports.clock.mono());
      this.clock.follower.requestBurst(this.ports.clock.mono());
      // One that was not let in the last time has nothing to catch up with before it is.
      if (!this.admission.refusal && this.admission.mayRead) this.setLinkState("catching up");
      this.tick();
    });
    socket.on("disconnect", () => {
      this.watchdog.noteClosed(this.ports.clock.mono());
      this.lost();
    });
    socket.on("connect_error", ((error: { data?: Refusal }) => {
      // With data the hub itself refused; without, it was not reached and the watchdog goes on.
      if (error.data?.code) this.refuse(error.data);
      else this.watchdog.noteClosed(this.ports.clock.mono());
    }) as (data: never) => void);
    const hear = <Data>(event: string, take: (data: Data) => void): void =>
      socket.on(event, ((data: Data) => {
        this.watchdog.noteHeard(this.ports.clock.mono());
        take(data);
      }) as (data: never) => void);
    hear<Welcome>("welcome", (welcome) => this.takeWelcome(welcome));
    hear<{ seq: number; state: SiteState }>("state", ({ state }) => {
      const before = this.replica.base;
      if (before && this.replica.current && !this.caughtUp)
        this.orders = withMissed(this.orders, missedBetween(before, state, this.ownRigIds()));
      this.replica.replace(state);
      this.unseen = [];
      this.coverSaid = null;
      this.saving.noteChange();
      this.catchUp();
      this.changed();
    });
    hear<SiteEvent[]>("events", (events) => this.takeEvents(events));
    hear<Presence>("presence", (presence) => {
      this.presence = presence;
      this.changed();
    });
    hear<Alert[]>("alerts", (alerts) => {
      this.alerts = alerts;
      this.changed();
    });
    hear<BoardSnapshot>("board", (board) => {
      this.board = board;
      this.coverSaid = null;
      this.changed();
    });
    hear("cover", () => this.obeyCover(true));
    hear("coverReleased", () => this.obeyCover(false));
    // The hub's clock was put right at once: ask anew now and not at the next burst.
    hear("clock", () => {
      this.clock.follower.requestBurst(this.ports.clock.mono());
      this.tick();
    });
    hear<Refusal>("refused", (refusal) => this.refuse(refusal));
  }

  /** Null for a lead, whom everything concerns. */
  private ownRigIds(): readonly string[] | null {
    return this.role.role === "rig" ? this.role.rigs.map((rig) => rig.id) : null;
  }

  private takeWelcome(welcome: Welcome): void {
    const { admission, replica } = this;
    admission.take(welcome, !replica.base || replica.epoch === welcome.epoch);
    this.saving.noteChange();
    if (admission.again) this.reopen();
    else if (admission.mayRead) {
      replica.meet(welcome.epoch);
      this.setLinkState("catching up");
      if (this.role.role === "board") this.catchUp();
    } else {
      this.setLinkState(this.unlinked());
      if (admission.mayDeliver) this.catchUp();
    }
    this.changed();
  }

  private refuse(refusal: Refusal): void {
    const mono = this.ports.clock.mono();
    this.admission.refuse(refusal, mono);
    this.setLinkState(this.unlinked());
    this.ports.socket.disconnect();
    this.watchdog.noteClosed(mono);
    this.changed();
  }

  private obeyCover(stands: boolean): void {
    this.coverSaid = stands;
    this.saving.now(this.ports.clock.mono());
    this.changed();
  }

  private takeEvents(events: readonly SiteEvent[]): void {
    const cover = events.findLast(({ type }) => type === "coverOrdered" || type === "coverReleased");
    if (!this.admission.mayRead) {
      // Of the site's state this device is told nothing any more but what keeps eyes safe (S7).
      if (cover) this.obeyCover(cover.type !== "coverReleased");
      return;
    }
    if (!this.caughtUp && this.replica.base) {
      const { seq } = this.replica.base;
      this.orders = withMissed(this.orders, missedAmong(events, seq, this.ownRigIds()));
    }
    if (cover) this.coverSaid = null;
    const before = this.replica.base;
    const complete = this.replica.apply(events);
    this.noteSeen();
    this.saving.noteChange();
    const { base } = this.replica;
    // What a page must obey although it is opened anew in this very second (S7, S8).
    if (base?.cover !== before?.cover || base?.practice !== before?.practice)
      this.saving.now(this.ports.clock.mono());
    if (complete) this.catchUp();
    else {
      const seq = this.replica.current ? (this.replica.base?.seq ?? 0) : -1;
      this.ports.socket.emit("resync", { seq });
    }
    this.changed();
  }

  /** A device none of whose links is good hears of its own reports nowhere but here (L9). */
  private keepOwn(item: QueuedFact, seq: number): void {
    if (this.admission.mayRead) {
      this.unseen = [...this.unseen, { item, seq }];
      this.noteSeen();
      return;
    }
    this.replica.keep(item, this.deviceId, this.clock.now());
    this.saving.now(this.ports.clock.mono());
  }

  private noteSeen(): void {
    const seen = this.replica.base?.seq ?? 0;
    if (this.unseen.some(({ seq }) => seq <= seen)) this.unseen = this.unseen.filter(({ seq }) => seq > seen);
  }

  private catchUp(): void {
    if (!this.caughtUp) {
      this.caughtUp = true;
      if (this.admission.mayRead) this.setLinkState("linked");
    }
    if (this.role.role !== "board") void this.outbox.flush();
  }

  private connect(): void {
    if (this.stopped || this.admission.over(this.outbox.items)) return;
    this.caughtUp = false;
    this.watchdog.noteOpening(this.ports.clock.mono());
    this.ports.socket.setAuth(this.hello());
    this.ports.socket.connect();
  }

  private reopen(): void {
    this.ports.socket.disconnect();
    this.lost();
    this.connect();
  }

  private hello(): Hello {
    if (this.role.role === "board") return { role: "board", protocol: PROTOCOL };
    const base = this.replica.base;
    const common = {
      protocol: PROTOCOL,
      deviceId: this.deviceId,
      label: this.role.label,
      last: base && this.replica.epoch ? { epoch: this.replica.epoch, seq: base.seq } : null,
      evolveVersion: EVOLVE_VERSION,
    };
    if (this.role.role === "lead") return { role: "lead", token: this.role.token, ...common };
    const { items } = this.outbox;
    this.saysLeft = this.admission.leftLinks(items).length > 0;
    return { role: "rig", rigs: this.admission.linksFor(items), ...common };
  }

  private lost(): void {
    this.caughtUp = false;
    if (this.linkState === "linked" || this.linkState === "catching up") {
      this.setLinkState(this.unlinked());
    }
  }

  private unlinked(): LinkState {
    return this.replica.base || this.board ? "alone" : "never linked";
  }

  private setLinkState(linkState: LinkState): void {
    if (this.linkState === linkState) return;
    this.linkState = linkState;
    this.sinceUtcMs = this.clock.reading().state === "none" ? null : this.clock.now();
    this.changed();
  }

  private tick(): void {
    this.cancelTick();
    if (this.stopped) return;
    this.cancelTick = this.ports.timers.after(TICK_MS, () => this.tick());
    const { clock, socket } = this.ports;
    const mono = clock.mono();
    if (mono - this.lastTick > STOOD_STILL_MS) this.clock.follower.requestBurst(mono);
    this.lastTick = mono;
    if (mono >= this.due.wake) {
      this.due.wake = mono + WAKE_CHECK_MS;
      this.clock.follower.noteWake(mono, clock.wall());
    }
    const { items } = this.outbox;
    if (this.saysLeft && this.admission.leftLinks(items).length === 0) {
      // Else a rig that was left would still be shown as linked by this device.
      this.saysLeft = false;
      this.reopen();
    } else if (mono >= this.admission.restUntil && !this.admission.over(items)) {
      const action = this.watchdog.decide(mono);
      if (action === "reopen") this.reopen();
      else if (action === "probe") this.probe(1);
    }
    if (socket.connected) {
      const next = this.clock.follower.nextProbe(mono, {
        linkUp: true,
        toNextContactMs: this.toNextContact(),
      });
      if (next.atMono <= mono) this.probe(next.burst);
      if (mono >= this.due.pulse && this.role.role !== "board") this.pulse(mono);
      if (this.caughtUp && this.outbox.items.length > 0) void this.outbox.flush();
    }
    this.saving.tick(mono);
  }

  private probe(exchanges: number): void {
    const { socket, timers, clock } = this.ports;
    this.clock.burst(
      socket,
      timers,
      exchanges,
      () => this.watchdog.noteSent(clock.mono()),
      () => {
        const first = this.sinceUtcMs === null;
        this.watchdog.noteHeard(clock.mono());
        if (first && this.linkState !== "never linked") this.sinceUtcMs = this.clock.now();
        if (first) this.changed();
      },
    );
  }

  private pulse(mono: number): void {
    this.due.pulse = mono + PULSE_MS;
    const reading = this.clock.reading();
    const known = reading.state !== "none";
    this.ports.socket.emit("pulse", {
      boundMs: known ? reading.boundMs : null,
      utcBoundMs: known ? reading.utcBoundMs : null,
      armed: this.armed,
      ownClockOffsetMs: this.clock.ownOffsetMs(),
    });
    this.changed();
  }

  private saved(): SavedState | null {
    const { epoch, base: state } = this.replica;
    if (!epoch || !state) return null;
    const verdicts = this.admission.verdicts();
    const { coverSaid: cover, orders } = this;
    return { epoch, state, evolveVersion: EVOLVE_VERSION, cover, verdicts, orders };
  }

  private toNextContact(): number | undefined {
    const state = this.replica.base;
    if (!state) return undefined;
    const now = this.clock.now();
    const practice = practiceAt(state, now);
    const runNow = runTime(practice, now);
    const next = nextContact(contactsOf(state, currentRun(state, now)), runNow - 10_000);
    return next ? (next.at - runNow) / (practice?.rate ?? 1) : undefined;
  }

  private changed(): void {
    this.cached = null;
    for (const listener of [...this.listeners]) listener();
  }
}
