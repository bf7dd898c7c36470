/**
 * The listening half of a session: what has been heard from the hub, and what follows of it. The
 * events are folded into the replica; what is obeyed or counted beside them (the cover, missed
 * orders, one's own reports whose events have not come yet) is kept here.
 */
import type { Welcome } from "../protocol/messages.ts";
import type { Alert } from "../run/alerts/alerts.ts";
import type { SiteEvent } from "../run/events.ts";
import type { SiteState } from "../run/state.ts";
import { NOBODY, type Presence } from "../run/views/presence.ts";
import type { Clock } from "../time/clock.ts";
import type { Admission } from "./admission.ts";
import { isAlerts, isEvents, isPresence, isRefusal, isState, isWelcome } from "./from-hub.ts";
import type { HubLink } from "./hub-link.ts";
import { missedAmong, missedBetween, NO_ORDERS, type SavedOrders, withMissed } from "./missed-orders.ts";
import { Replica } from "./replica.ts";
import type { Saving } from "./saving.ts";
import type { QueuedFact, SavedState, SocketPort } from "./session-types.ts";

/** An order that is heard so long after it was given calls for something else, ms. Common practice, no source. */
const LATE_MS = 5000;

interface HeardPorts {
  clock: Clock;
  socket: SocketPort;
  link: HubLink;
  saving: Saving;
  /** Another object once the device has joined other rigs. */
  admission: () => Admission;
  deviceId: () => string;
  /** Null for a lead, whom everything concerns. */
  ownRigIds: () => readonly string[] | null;
  /** Nothing is missing any more: what waits may go out. */
  caughtUp: () => void;
  changed: () => void;
}

export class Heard {
  readonly replica = new Replica();
  presence: Presence = NOBODY;
  alerts: readonly Alert[] = [];
  orders: SavedOrders = NO_ORDERS;
  /** What the hub said of "cover every lens" outside its log; null: the state says it. */
  coverSaid: boolean | null = null;
  /** Own facts that the hub has taken, and whose events have not come yet (SPEC L9). */
  unseen: readonly { item: QueuedFact; seq: number }[] = [];

  constructor(private readonly ports: HeardPorts) {}

  load({ epoch, state, cover, orders }: SavedState): void {
    this.replica.load(epoch, state);
    this.coverSaid = cover;
    this.orders = { ...NO_ORDERS, ...orders };
  }

  /** Of what another program saved nothing is read but what keeps eyes safe (S7). */
  loadCover({ state, cover }: SavedState): void {
    this.coverSaid = cover ?? ((state as Partial<SiteState> | null)?.cover ? true : null);
  }

  listen(): void {
    const { link, changed } = this.ports;
    link.hear("welcome", isWelcome, (welcome) => this.takeWelcome(welcome));
    link.hear("state", isState, ({ state }) => this.takeState(state));
    link.hear("events", isEvents, (events) => this.takeEvents(events));
    link.hear("presence", isPresence, (presence) => {
      this.presence = presence;
      changed();
    });
    link.hear("alerts", isAlerts, (alerts) => {
      this.alerts = alerts;
      changed();
    });
    link.hearWord("cover", () => this.obeyCover(true));
    link.hearWord("coverReleased", () => this.obeyCover(false));
    link.hearWord("clock", () => link.askTimeNow());
    link.hear("refused", isRefusal, (why) => link.refuse(why));
  }

  /** The hub has taken a report as this event. */
  keepOwn(item: QueuedFact, seq: number): void {
    const { link, saving, clock } = this.ports;
    if (this.ports.admission().mayRead) {
      this.unseen = [...this.unseen, { item, seq }];
      this.noteSeen();
      return;
    }
    // A device none of whose links is good hears of its own reports nowhere but here (L9).
    this.replica.keep(item, this.ports.deviceId(), link.clock.now());
    saving.now(clock.mono());
  }

  private takeWelcome(welcome: Welcome): void {
    const { replica } = this;
    const { link, saving } = this.ports;
    const admission = this.ports.admission();
    admission.take(welcome, !replica.base || replica.epoch === welcome.epoch);
    saving.noteChange();
    if (admission.again) link.reopen();
    else if (admission.mayRead) {
      replica.meet(welcome.epoch);
      link.say("catching up");
    } else {
      link.say(link.unlinked());
      if (admission.mayDeliver) this.catchUp();
    }
    this.ports.changed();
  }

  private takeState(state: SiteState): void {
    const { link, saving, ownRigIds } = this.ports;
    const before = this.replica.base;
    if (before && this.replica.current && !link.caughtUp)
      this.orders = withMissed(this.orders, missedBetween(before, state, ownRigIds()));
    // A hub that begins with an older copy of the site knows of no cover, and nobody has released it (S7).
    const older = before && (!this.replica.current || state.seq < before.seq);
    const covered = this.coverSaid ?? before?.cover;
    this.replica.replace(state);
    this.unseen = [];
    this.coverSaid = older && covered && !state.cover ? true : null;
    saving.noteChange();
    this.catchUp();
    this.ports.changed();
  }

  private takeEvents(events: readonly SiteEvent[]): void {
    const { replica } = this;
    const { link, saving, clock, socket, ownRigIds } = this.ports;
    const cover = events.findLast(({ type }) => type === "coverOrdered" || type === "coverReleased");
    if (!this.ports.admission().mayRead) {
      // Of the site's state this device is told nothing any more but what keeps eyes safe (S7).
      if (cover) this.obeyCover(cover.type !== "coverReleased");
      return;
    }
    const before = replica.base;
    if (before) {
      // A page that was frozen hears of its own link what was said to it then: away, though never cut off.
      const { utcMs, boundMs } = link.clock.reading();
      const oldMs = link.caughtUp ? utcMs - boundMs - LATE_MS : Number.POSITIVE_INFINITY;
      const late = events.filter(({ loggedUtcMs }) => loggedUtcMs < oldMs);
      if (late.length > 0) this.orders = withMissed(this.orders, missedAmong(late, before.seq, ownRigIds()));
    }
    if (cover) this.coverSaid = null;
    const complete = replica.apply(events);
    this.noteSeen();
    saving.noteChange();
    const { base } = replica;
    // What a page must obey although it is opened anew in this very second (S7, S8).
    if (base?.cover !== before?.cover || base?.practice !== before?.practice) saving.now(clock.mono());
    if (complete) this.catchUp();
    else socket.emit("resync", { seq: replica.seq });
    this.ports.changed();
  }

  private obeyCover(stands: boolean): void {
    this.coverSaid = stands;
    this.ports.saving.now(this.ports.clock.mono());
    this.ports.changed();
  }

  private noteSeen(): void {
    const seen = this.replica.base?.seq ?? 0;
    if (this.unseen.some(({ seq }) => seq <= seen)) this.unseen = this.unseen.filter(({ seq }) => seq > seen);
  }

  private catchUp(): void {
    const { link, admission, caughtUp } = this.ports;
    if (!link.caughtUp) {
      link.caughtUp = true;
      if (admission().mayRead) link.say("linked");
    }
    caughtUp();
  }
}
