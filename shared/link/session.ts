/**
 * A device's session with the hub, for pages of leads and rigs and for Node agents alike: what it
 * may say and what it holds. Below it lies the link (hub-link.ts: socket, clock, watchdog); what
 * comes in over it is the listening half (heard.ts); what is reported goes through the outbox, which
 * is sent whenever nothing is missing any more: after catching up, after a report, at every tick.
 *
 * It never gives up, and everything a person needs goes on from what the device holds. Orders are
 * not queued (give-order.ts).
 */
import type { Hello } from "../protocol/messages.ts";
import { PROTOCOL } from "../protocol/version.ts";
import { contactsOf, nextContact } from "../run/effective-contacts.ts";
import type { Report } from "../run/facts/report-schema.ts";
import { highestNumberOf } from "../run/facts/rig-record.ts";
import type { Refusal } from "../run/orders/refusal.ts";
import { currentRun, practiceAt, runTime } from "../run/run-time.ts";
import { EVOLVE_VERSION } from "../run/state.ts";
import { later, type MonoMs } from "../time/instants.ts";
import { Admission } from "./admission.ts";
import { Heard } from "./heard.ts";
import { HubLink, type LinkUser } from "./hub-link.ts";
import { type SavedOrders, withOld } from "./missed-orders.ts";
import { Outbox } from "./outbox.ts";
import { Saving } from "./saving.ts";
import type { RigLink, SavedState, SessionPorts, SessionView } from "./session-types.ts";
import type { SiteClock } from "./site-clock.ts";

export type SessionRole =
  | { role: "lead"; token: string; label: string }
  /** `left`: rigs taken off this device, of which it may still hold reports. */
  | { role: "rig"; rigs: readonly RigLink[]; left?: readonly RigLink[]; label: string; agent?: true };

const NO_LINKS: readonly RigLink[] = [];
const PULSE_MS = 2000;

export class Session implements LinkUser {
  private readonly link: HubLink;
  private readonly heard: Heard;
  private readonly outbox: Outbox;
  private readonly saving: Saving;
  private admission: Admission;
  private readonly listeners = new Set<() => void>();
  private cached: SessionView | null = null;
  private deviceId = "";
  private started = false;
  private stopped = false;
  private armed = false;
  private pulseDue = 0;
  /** The hub was told of a link that was left, for what still waits here. */
  private saysLeft = false;

  constructor(
    private role: SessionRole,
    private readonly ports: SessionPorts,
  ) {
    const { clock, socket, store } = ports;
    this.admission =
      role.role === "rig" ? new Admission(role.rigs, role.left ?? []) : new Admission(null, []);
    this.link = new HubLink(ports, this);
    this.saving = new Saving(store, this.link.clock, () => this.saved());
    this.heard = new Heard({
      clock,
      socket,
      link: this.link,
      saving: this.saving,
      admission: () => this.admission,
      deviceId: () => this.deviceId,
      ownRigIds: () => (this.role.role === "rig" ? this.role.rigs.map((rig) => rig.id) : null),
      caughtUp: () => void this.outbox.flush(),
      changed: () => this.changed(),
    });
    this.outbox = new Outbox(
      store,
      socket,
      () => this.changed(),
      (item, seq) => this.heard.keepOwn(item, seq),
      () => clock.mono(),
    );
  }

  get clock(): SiteClock {
    return this.link.clock;
  }

  /** Loads what the device holds, then connects. Resolves when the saved state is shown. */
  async start(): Promise<void> {
    if (this.started) return;
    this.started = true;
    const saved = await this.ports.store.load().catch(() => null);
    this.deviceId = saved?.deviceId ?? this.ports.newId();
    if (saved?.state?.evolveVersion === EVOLVE_VERSION) {
      this.heard.load(saved.state);
      this.admission.load(saved.state.verdicts);
    } else if (saved?.state) this.heard.loadCover(saved.state);
    this.outbox.load(saved?.outbox ?? [], saved?.rejected ?? []);
    this.clock.restore(saved?.clock);
    if (this.stopped) return;
    this.heard.listen();
    this.link.start();
    this.changed();
  }

  stop(): void {
    this.stopped = true;
    this.link.stop();
    this.listeners.clear();
  }

  subscribe(listener: () => void): () => void {
    this.listeners.add(listener);
    return () => this.listeners.delete(listener);
  }

  /** The same object until something has changed. */
  view(): SessionView {
    if (this.cached) return this.cached;
    const { link, heard, admission, outbox } = this;
    const own = [...heard.unseen.map(({ item }) => item), ...outbox.items];
    const state = heard.replica.withQueued(own, this.deviceId, this.clock.now());
    this.cached = {
      linkState: link.state,
      sinceUtcMs: link.sinceUtcMs,
      state,
      presence: heard.presence,
      alerts: heard.alerts,
      cover: heard.coverSaid ?? (state?.cover ?? null) !== null,
      rigIds: admission.rigIds,
      refusedRigs: admission.refusedRigs,
      links: admission.links ?? NO_LINKS,
      formerKept: admission.formerKept,
      queued: outbox.items.length,
      rejected: outbox.rejected,
      missedOf: heard.orders.missedOf,
      oldOrders: heard.orders.old,
      refused: admission.refusal,
      clockHealth: this.clock.health(),
    };
    return this.cached;
  }

  /**
   * A fact of a rig in this device's hands. Resolves when it is safe on this device; it goes to
   * the hub as soon as there is a link, with the time and the run it happened in.
   */
  async report(rigId: string, report: Report): Promise<void> {
    const reading = this.clock.reading();
    const state = this.heard.replica.base;
    const fact = {
      v: 1,
      rigId,
      runId: state ? currentRun(state, reading.utcMs).runId : null,
      observedUtcMs: reading.utcMs,
      boundMs: Number.isFinite(reading.boundMs) ? reading.boundMs : null,
      report,
    } as const;
    await this.outbox.add({ id: this.ports.newId(), fact }, highestNumberOf(state, this.deviceId) + 1);
    this.send();
  }

  /** Another page of this device has reported something: it is shown and sent here, too. */
  async readOthers(): Promise<void> {
    await this.outbox.readOthers();
    this.send();
  }

  /** Told to the lead: this device keeps its screen on and sounds its cues. */
  setArmed(armed: boolean): void {
    this.armed = armed;
    this.pulseDue = 0;
  }

  /** It has been acknowledged that orders were missed. */
  noteOrdersSeen(): void {
    this.remember({ ...this.heard.orders, missedOf: [] });
  }

  /** A message has been read: it is not new any more, nor after a reload. */
  noteRead(messageId: string): void {
    this.remember(withOld(this.heard.orders, [messageId]));
  }

  /** The rigs in this device's hands have changed: it goes on with what it holds, and comes in anew. */
  join(rigs: readonly RigLink[], left: readonly RigLink[] = []): void {
    if (this.role.role !== "rig") return;
    this.role = { ...this.role, rigs, left };
    const verdicts = this.admission.verdicts();
    this.admission = new Admission(rigs, left);
    this.admission.load(verdicts);
    this.saving.noteChange();
    this.link.reopen();
    this.changed();
  }

  /** Call when the page is shown again or the network has come back: look at once. */
  wake(): void {
    this.link.wake();
  }

  /** The device was frozen or asleep and its monotonic clock may have stood still. */
  noteSuspension(): void {
    this.link.noteSuspension();
  }

  // What the link asks of who stands on it.

  hello(): Hello {
    const { base, epoch } = this.heard.replica;
    const common = {
      protocol: PROTOCOL,
      deviceId: this.deviceId,
      label: this.role.label,
      last: base && epoch ? { epoch, seq: base.seq } : null,
      evolveVersion: EVOLVE_VERSION,
    };
    if (this.role.role === "lead") return { role: "lead", token: this.role.token, ...common };
    const { items } = this.outbox;
    const { agent } = this.role;
    this.saysLeft = this.admission.leftLinks(items).length > 0;
    return { role: "rig", rigs: this.admission.linksFor(items), ...common, ...(agent && { agent }) };
  }

  over(): boolean {
    return this.admission.over(this.outbox.items);
  }

  letIn(): boolean {
    return !this.admission.refusal && this.admission.mayRead;
  }

  holds(): boolean {
    return this.heard.replica.base !== null;
  }

  refused(why: Refusal): void {
    this.admission.refuse(why);
  }

  tick(mono: MonoMs): void {
    if (this.saysLeft && this.admission.leftLinks(this.outbox.items).length === 0) {
      // Else a rig that was left would still be shown as linked by this device.
      this.saysLeft = false;
      this.link.reopen();
    }
    if (this.link.connected) {
      if (mono >= this.pulseDue) this.pulse(mono);
      if (this.outbox.items.length > 0) this.send();
    }
    this.saving.tick(mono);
  }

  toNextContactMs(): number | undefined {
    const state = this.heard.replica.base;
    if (!state) return undefined;
    const now = this.clock.now();
    const practice = practiceAt(state, now);
    const runNow = runTime(practice, now);
    const next = nextContact(contactsOf(state, currentRun(state, now)), later(runNow, -10_000));
    return next ? (next.at - runNow) / (practice?.rate ?? 1) : undefined;
  }

  changed(): void {
    this.cached = null;
    for (const listener of [...this.listeners]) listener();
  }

  private send(): void {
    if (this.link.caughtUp) void this.outbox.flush();
  }

  private remember(orders: SavedOrders): void {
    this.heard.orders = orders;
    this.saving.noteChange();
    this.changed();
  }

  private pulse(mono: MonoMs): void {
    this.pulseDue = mono + PULSE_MS;
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
    const { replica, coverSaid: cover, orders } = this.heard;
    const { epoch, base: state } = replica;
    if (!epoch || !state) return null;
    const verdicts = this.admission.verdicts();
    return { epoch, state, evolveVersion: EVOLVE_VERSION, cover, verdicts, orders };
  }
}
