/**
 * One client's link to the hub: it keeps a socket open, the eclipse clock on it, and tells the truth
 * about both. Sessions (session.ts) and boards (board-client.ts) stand on it.
 *
 * Three things work together here. The watchdog (shared/sync) says when a silent link is to be
 * closed and opened anew, and when to ask once more; everything heard, be it a message or the
 * answer to a probe, counts for it as a sign of life. The clock asks for the time in bursts, whose
 * answers are those signs while nothing else is said. And who stands on the link has a turn at every
 * tick, for what waits to be sent. A link never gives up by itself: only a refusal for good ends it.
 */
import type { Hello, HubData, HubMessage } from "../protocol/messages.ts";
import type { Refusal } from "../run/orders/refusal.ts";
import type { Pace } from "../sync/pace.ts";
import { LinkWatchdog } from "../sync/watchdog.ts";
import type { MonoMs, UtcMs } from "../time/instants.ts";
import { isRecord, isRefusal, type Look } from "./from-hub.ts";
import type { LinkPorts, LinkState } from "./session-types.ts";
import { SiteClock } from "./site-clock.ts";

const TICK_MS = 250;
const WAKE_CHECK_MS = 1000;
/** Silence after which a page that is shown again asks whether the link still holds, ms. */
const SILENT_MS = 2000;
/** A tick this late means that the program stood still, ms. */
const STOOD_STILL_MS = 5000;
/** Whom the hub has refused asks again this much later, ms: the next hub may be the right one. */
const KNOCK_MS = 15_000;

/** Who stands on a link. */
export interface LinkUser {
  /** Who this is, said at every attempt. */
  hello(): Hello;
  /** Whether nothing would come of an attempt. */
  over(): boolean;
  /** Whether it was let in the last time, as far as it knows: one that was not has nothing to catch up with. */
  letIn(): boolean;
  /** Whether it holds anything of the site: without a hub it is alone with that, else it never was linked. */
  holds(): boolean;
  refused(why: Refusal): void;
  /** A turn of its own, several times a second. */
  tick(mono: MonoMs): void;
  /** To the next contact, for the pace of the clock, ms. */
  toNextContactMs(): number | undefined;
  changed(): void;
}

export class HubLink {
  readonly clock: SiteClock;
  state: LinkState = "never linked";
  /** Since when, by the eclipse clock; null while it has never been set. */
  sinceUtcMs: UtcMs | null = null;
  /** Nothing is missing any more of what the hub has for this client. */
  caughtUp = false;
  private readonly watchdog: LinkWatchdog;
  private listening = false;
  private stopped = false;
  private cancelTick: () => void = () => undefined;
  private lastTick = 0;
  private wakeCheckDue = 0;
  /** No attempt before this, on the monotonic clock. */
  private restUntil = 0;

  /** @param patience stretches the watchdog's times (boards are many) */
  constructor(
    private readonly ports: LinkPorts,
    private readonly user: LinkUser,
    { pace, patience = 1 }: { pace?: Pace | undefined; patience?: number } = {},
  ) {
    this.clock = new SiteClock(ports.clock, pace);
    this.watchdog = new LinkWatchdog(patience);
  }

  get connected(): boolean {
    return this.ports.socket.connected;
  }

  start(): void {
    if (this.stopped) return;
    if (this.user.holds()) this.say("alone");
    this.listen();
    this.lastTick = this.ports.clock.mono();
    this.connect();
    this.tick();
  }

  stop(): void {
    this.stopped = true;
    this.cancelTick();
    this.ports.socket.disconnect();
  }

  /** Listens for one kind of message. What cannot be used is a sign of life all the same. */
  hear<Name extends HubMessage>(name: Name, isKnown: Look<Name>, take: (data: HubData<Name>) => void): void {
    this.hearWord(name, (data) => {
      if (isKnown(data)) take(data);
    });
  }

  /** The same where the name says all: it is obeyed whatever comes with it (S7). */
  hearWord(name: HubMessage, take: (data: unknown) => void): void {
    this.ports.socket.on(name, (data) => {
      this.watchdog.noteHeard(this.ports.clock.mono());
      take(data);
    });
  }

  /** Closes and comes in anew; before start() there is nothing to close. */
  reopen(): void {
    if (!this.listening) return;
    this.ports.socket.disconnect();
    this.lost();
    this.connect();
  }

  /** The hub closes the door. */
  refuse(why: Refusal): void {
    const mono = this.ports.clock.mono();
    this.restUntil = mono + KNOCK_MS;
    this.user.refused(why);
    this.say(this.unlinked());
    this.ports.socket.disconnect();
    this.watchdog.noteClosed(mono);
    this.user.changed();
  }

  /** Call when the page is shown again or the network has come back: look at once. */
  wake(): void {
    const { clock } = this.ports;
    // A page is shown before it has read what it holds: start() connects then.
    if (!this.listening) return;
    this.clock.follower.noteWake(clock.mono(), clock.wall());
    this.clock.follower.requestBurst(clock.mono());
    // A second attempt beside one under way would come in twice; the watchdog ends one that hangs.
    if (!this.connected) {
      this.restUntil = 0;
      if (!this.watchdog.opening) this.connect();
    } else if (this.watchdog.silentMs(clock.mono()) > SILENT_MS) this.probe(1);
  }

  /** The device was frozen or asleep and its monotonic clock may have stood still. */
  noteSuspension(): void {
    this.clock.follower.noteSuspension(this.ports.clock.mono(), this.ports.clock.wall());
    this.wake();
  }

  /** The hub's clock was put right at once: asks anew now and not at the next burst. */
  askTimeNow(): void {
    this.clock.follower.requestBurst(this.ports.clock.mono());
    this.tick();
  }

  say(state: LinkState): void {
    if (this.state === state) return;
    this.state = state;
    this.sinceUtcMs = this.clock.reading().state === "none" ? null : this.clock.now();
    this.user.changed();
  }

  unlinked(): LinkState {
    return this.user.holds() ? "alone" : "never linked";
  }

  private listen(): void {
    const { socket, clock } = this.ports;
    this.listening = true;
    socket.on("connect", () => {
      this.caughtUp = false;
      this.watchdog.noteOpen(clock.mono());
      this.clock.follower.requestBurst(clock.mono());
      if (this.user.letIn()) this.say("catching up");
      this.tick();
    });
    socket.on("disconnect", () => {
      this.watchdog.noteClosed(clock.mono());
      this.lost();
    });
    socket.on("connect_error", (error) => {
      // With data the hub itself refused; without, it was not reached and the watchdog goes on.
      if (isRecord(error) && isRefusal(error.data)) this.refuse(error.data);
      else this.watchdog.noteClosed(clock.mono());
    });
  }

  private connect(): void {
    if (this.stopped || this.user.over()) return;
    this.caughtUp = false;
    this.watchdog.noteOpening(this.ports.clock.mono());
    this.ports.socket.setAuth(this.user.hello());
    this.ports.socket.connect();
  }

  private lost(): void {
    this.caughtUp = false;
    if (this.state === "linked" || this.state === "catching up") this.say(this.unlinked());
  }

  private tick(): void {
    this.cancelTick();
    if (this.stopped) return;
    const { clock, timers } = this.ports;
    this.cancelTick = timers.after(TICK_MS, () => this.tick());
    const mono = clock.mono();
    if (mono - this.lastTick > STOOD_STILL_MS) this.clock.follower.requestBurst(mono);
    this.lastTick = mono;
    if (mono >= this.wakeCheckDue) {
      this.wakeCheckDue = mono + WAKE_CHECK_MS;
      this.clock.follower.noteWake(mono, clock.wall());
    }
    if (mono >= this.restUntil && !this.user.over()) {
      const action = this.watchdog.decide(mono);
      if (action === "reopen") this.reopen();
      else if (action === "probe") this.probe(1);
    }
    if (this.connected) {
      const next = this.clock.follower.nextProbe(mono, {
        linkUp: true,
        toNextContactMs: this.user.toNextContactMs(),
      });
      if (next.atMono <= mono) this.probe(next.burst);
    }
    this.user.tick(mono);
  }

  private probe(exchanges: number): void {
    const { socket, timers, clock } = this.ports;
    const sent = (): void => this.watchdog.noteSent(clock.mono());
    this.clock.burst(socket, timers, exchanges, sent, () => {
      const first = this.sinceUtcMs === null;
      this.watchdog.noteHeard(clock.mono());
      if (first && this.state !== "never linked") this.sinceUtcMs = this.clock.now();
      if (first) this.user.changed();
    });
  }
}
