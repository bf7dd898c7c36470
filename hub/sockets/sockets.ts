/**
 * The sockets: who comes in, what they may send, and what they are sent. Rules live in
 * shared/run, never here. A message that does not parse is refused to its sender alone.
 *
 * Rooms of Socket.IO: "site" (leads and rigs: the cover), "leads" (events, presence, alerts), "rigs"
 * (events), "boards", and "former" (phones whose links were revoked: they learn nothing new but the cover, S7).
 */
import type { Server, Socket } from "socket.io";
import { ownValue } from "../../shared/fields/own-key.ts";
import {
  type Answer,
  type BoardSnapshot,
  FactsMessageSchema,
  type Hello,
  HelloSchema,
  OrderMessageSchema,
  ProbeSchema,
  PulseSchema,
  type Welcome,
} from "../../shared/protocol/messages.ts";
import { PROTOCOL } from "../../shared/protocol/version.ts";
import type { SiteEvent } from "../../shared/run/events.ts";
import { DEVICES_MOST } from "../../shared/run/facts/fact-bounds.ts";
import { FactSchema, parse } from "../../shared/run/orders/commands.ts";
import { type Refusal, refusal } from "../../shared/run/orders/refusal.ts";
import { EVOLVE_VERSION } from "../../shared/run/state.ts";
import { upcast } from "../../shared/run/upcasts.ts";
import type { HubClock } from "../clock/hub-clock.ts";
import { boardSnapshot } from "../feeds/board-snapshot.ts";
import type { EventLog } from "../log/event-log.ts";
import type { AlertDesk } from "../site/alert-desk.ts";
import type { Keys } from "../site/keys.ts";
import type { PresenceBook } from "../site/presence.ts";
import type { SiteKeeper } from "../site/site-keeper.ts";
import { concernsBoards, EventFeed } from "./event-feed.ts";
import { isOnHubsMachine, repeatsOwnClock } from "./hubs-own-pages.ts";
import { type LinkLimits, MOST_SOCKETS } from "./link-limits.ts";
import { guardRate, tooMany } from "./message-guard.ts";

/** Further behind than this, a client gets the whole state instead of the events. */
const MOST_EVENTS_BEHIND = 500;
const PRESENCE_MS = 1000;
/** How often the board's snapshot is sent again though nothing was logged, ms. */
const BOARD_REFRESH_MS = 5000;
/** How long a phone waits whose link has too many sockets open already, ms. */
const FULL_WAIT_MS = 10_000;
/** Pulses of one socket that are heard in a second: a page sends one every 2 s. */
const MOST_PULSES_PER_S = 5;

export interface RoomPorts {
  io: Server;
  keeper: SiteKeeper;
  log: EventLog;
  keys: Keys;
  clock: HubClock;
  presence: PresenceBook;
  limits: LinkLimits;
  alerts: AlertDesk;
  version: string;
  /** A bug at one socket: told, and nothing else happens. */
  onBug: (error: unknown) => void;
}

export class Room {
  private presenceDue: NodeJS.Timeout | null = null;
  private readonly boardTimer: NodeJS.Timeout;
  private lastBoard = "";
  private readonly feed: EventFeed;

  constructor(private readonly ports: RoomPorts) {
    const { io, keeper, alerts } = ports;
    this.feed = new EventFeed({
      toLeads: (events) => io.to("leads").emit("events", events),
      toRigs: (events) => io.to("rigs").emit("events", events),
    });
    io.use((socket, next) => this.admit(socket, next));
    io.on("connection", (socket) => this.comeIn(socket));
    keeper.on("cover", (by) => {
      io.to("site").to("boards").to("former").emit("cover", { by });
    });
    keeper.on("events", (events) => {
      this.feed.add(events);
      for (const event of events)
        if (event.type === "coverReleased") io.to("former").emit("coverReleased", event.payload);
      if (concernsBoards(events)) this.sendBoard();
      for (const event of events)
        if (event.type === "linkRevoked") this.ports.limits.forget(event.payload.rigId);
      if (events.some((event) => event.type === "linkRevoked" || event.type === "planSaved"))
        this.recheckLinks();
    });
    alerts.onChange((standing) => io.to("leads").emit("alerts", standing));
    this.boardTimer = setInterval(() => this.sendBoard(), BOARD_REFRESH_MS);
  }

  /** The hub's clock was moved at once: leads and rigs ask for the time anew. Boards show seconds. */
  announceClock(): void {
    this.ports.io.to("site").emit("clock", {});
  }

  close(): void {
    clearInterval(this.boardTimer);
    this.feed.close();
    if (this.presenceDue) clearTimeout(this.presenceDue);
  }

  private admit(socket: Socket, next: (error?: Error) => void): void {
    const verdict = this.judge(socket);
    if (verdict) next(Object.assign(new Error(verdict.message), { data: verdict }));
    else next();
  }

  /** Why a client may not come in; undefined when it may. */
  private judge(socket: Socket): Refusal | undefined {
    const parsed = parse(HelloSchema, socket.handshake.auth);
    if (!parsed.ok) return parsed.refusal;
    const hello = parsed.value;
    if (hello.protocol !== PROTOCOL) {
      const message = `this page speaks protocol ${hello.protocol}, the hub ${PROTOCOL}; load it again`;
      return refusal("protocol", message);
    }
    if (hello.role === "lead") {
      const session = this.ports.keys.session(hello.token);
      if (!session) return refusal("not-signed-in", "sign in with the lead's PIN");
      socket.data.actor = `lead:${session.name}`;
      socket.data.sender = `lead:${session.hash.slice(0, 12)}`;
      socket.data.sessionHash = session.hash;
    }
    if (hello.role === "rig") {
      const waitMs = this.waitAtDoor(hello);
      if (waitMs > 0) return tooMany(waitMs);
    }
    socket.data.hello = hello;
    return undefined;
  }

  /** 0 when one at least of a phone's links has room for it, or none is good; else ms to wait. */
  private waitAtDoor(hello: Extract<Hello, { role: "rig" }>): number {
    const { keys, keeper, limits, presence } = this.ports;
    const waits: number[] = [];
    for (const { id, token } of hello.rigs) {
      const verdict = keys.checkRigToken(id, token, ownValue(keeper.state.generations, id) ?? 0);
      if (!verdict.ok) continue;
      const full = presence.socketsOf(id) >= MOST_SOCKETS;
      if (full && !verdict.revoked) limits.noteRefusal(id);
      waits.push(full ? FULL_WAIT_MS : limits.entry(id, verdict.revoked));
    }
    return waits.length === 0 ? 0 : Math.min(...waits);
  }

  /** Whether a session has a console open. */
  isAtWork(sessionHash: string): boolean {
    for (const socket of this.ports.io.sockets.sockets.values())
      if (socket.data.sessionHash === sessionHash && socket.connected) return true;
    return false;
  }

  /** A lead signed out: what that session had open is closed. */
  signOut(sessionHash: string): void {
    for (const socket of this.ports.io.sockets.sockets.values()) {
      if (socket.data.sessionHash === sessionHash) socket.disconnect(true);
    }
  }

  /** A bug in letting one client in sends that one away, to knock again; the others go on. */
  private comeIn(socket: Socket): void {
    try {
      this.welcome(socket);
    } catch (error) {
      this.ports.onBug(error);
      socket.disconnect(true);
    }
  }

  /** Listens to a client; a bug in what follows is told and costs that message alone. */
  private hear(socket: Socket, event: string, take: (message: unknown, answer: unknown) => void): void {
    socket.on(event, (message: unknown, answer: unknown) => {
      try {
        take(message, answer);
      } catch (error) {
        this.ports.onBug(error);
      }
    });
  }

  private welcome(socket: Socket): void {
    const hello = socket.data.hello as Hello;
    const { log, version } = this.ports;
    guardRate(socket, () => this.blame(socket));
    this.answerProbes(socket);
    const welcome: Welcome = { protocol: PROTOCOL, version, epoch: log.epoch, rigIds: [], refused: [] };
    if (hello.role === "board") {
      void socket.join("boards");
      socket.emit("welcome", welcome);
      socket.emit("board", this.boardNow());
      return;
    }
    const rigIds = hello.role === "rig" ? this.admitRigs(socket, hello, welcome) : [];
    welcome.rigIds = [...rigIds];
    socket.emit("welcome", welcome);
    if (hello.role === "rig" && rigIds.length === 0 && !socket.data.mayDeliver) {
      socket.emit("refused", refusal("not-allowed", "none of this phone's links is good any more"));
      return;
    }
    if (hello.role === "rig" && rigIds.length > 0) this.noteJoin(socket, hello, rigIds);
    if (hello.role === "lead" || rigIds.length > 0) {
      this.catchUp(socket, hello);
      void socket.join(["site", hello.role === "lead" ? "leads" : "rigs"]);
    } else void socket.join("former");
    // Also where it is not logged yet, and to those who read on from what they have.
    const { cover } = this.ports.keeper.state;
    if (cover) socket.emit("cover", { by: cover.by });
    // These read no events: one that was away when it was released would stay covered for ever.
    else if (hello.role === "rig" && rigIds.length === 0) socket.emit("coverReleased", { by: "" });
    if (hello.role === "lead") {
      socket.emit("presence", this.ports.presence.get());
      socket.emit("alerts", this.ports.alerts.standing());
      this.takeOrders(socket);
    }
    this.takeFacts(socket, hello);
    this.takePulses(socket, hello);
    this.hear(socket, "resync", (message) => {
      // A phone whose links were all revoked delivers and hears the cover; it reads nothing on.
      if (hello.role === "rig" && rigIds.length === 0) return;
      if (rigIds.length > 0 && Math.max(...rigIds.map((id) => this.ports.limits.entry(id, false))) > 0)
        return;
      const seq = (message as { seq?: unknown } | null)?.seq;
      this.sendSince(socket, typeof seq === "number" && Number.isInteger(seq) ? seq : -1);
    });
  }

  private admitRigs(socket: Socket, hello: Extract<Hello, { role: "rig" }>, welcome: Welcome): string[] {
    const { state } = this.ports.keeper;
    const good: string[] = [];
    const revoked: string[] = [];
    for (const { id, token } of hello.rigs) {
      const verdict = this.ports.keys.checkRigToken(id, token, ownValue(state.generations, id) ?? 0);
      if (!verdict.ok) welcome.refused.push({ rigId: id, reason: "bad link" });
      else if (verdict.revoked) {
        revoked.push(id);
        welcome.refused.push({ rigId: id, reason: "revoked" });
      } else if (!state.plan.rigs.some((rig) => rig.id === id)) {
        revoked.push(id);
        welcome.refused.push({ rigId: id, reason: "removed" });
      } else good.push(id);
    }
    socket.data.rigIds = good;
    socket.data.revokedRigIds = revoked;
    // What a revoked phone had queued is still taken, and flagged; it learns nothing new.
    socket.data.mayDeliver = good.length > 0 || revoked.length > 0;
    return good;
  }

  private noteJoin(socket: Socket, hello: Extract<Hello, { role: "rig" }>, rigIds: readonly string[]): void {
    const { keeper, presence, clock } = this.ports;
    const { deviceId, label } = hello;
    presence.join(socket.id, { deviceId, label, rigIds }, clock.now());
    this.presenceChanged();
    socket.on("disconnect", () => {
      presence.leave(socket.id);
      this.presenceChanged();
    });
    const known = ownValue(keeper.state.devices, deviceId);
    const joins = rigIds.filter((id) => !known?.rigIds.includes(id) && !this.hasManyDevices(id));
    if (joins.length > 0) void keeper.note("deviceJoined", { deviceId, rigIds: [...rigIds], label });
  }

  /** R17: that a rig has phones is known by then; who brings more is not written down. */
  private hasManyDevices(rigId: string): boolean {
    const devices = Object.values(this.ports.keeper.state.devices);
    return devices.filter(({ rigIds }) => rigIds.includes(rigId)).length >= DEVICES_MOST;
  }

  /** What a socket sends is too much: its links are noisy. */
  private blame(socket: Socket): void {
    for (const id of (socket.data.rigIds as string[] | undefined) ?? []) this.ports.limits.noteRefusal(id);
  }

  private answerProbes(socket: Socket): void {
    const { clock } = this.ports;
    this.hear(socket, "probe", (message, answer) => {
      const before = clock.stamp();
      if (typeof answer !== "function" || !parse(ProbeSchema, message).ok) return;
      const status = this.clockFlags();
      const { utcMs, boundMs, course } = clock.stamp();
      answer({ t2: before.utcMs, t3: utcMs, hubBoundMs: boundMs, course, ...status });
    });
  }

  private clockFlags(): { disputed: boolean; slept: boolean; apartMs: number } {
    const { disputed, slept, apartMs = 0 } = this.ports.alerts.clockHealth();
    return { disputed, slept, apartMs };
  }

  private takeOrders(socket: Socket): void {
    this.hear(socket, "order", (message, answer) => {
      if (typeof answer !== "function") return;
      // The token may have been signed out since.
      const parsed = parse(OrderMessageSchema, message);
      if (!parsed.ok) return answer({ ok: false, refusal: parsed.refusal } satisfies Answer);
      const { id, order } = parsed.value;
      void this.ports.keeper
        .order(socket.data.sender as string, socket.data.actor as string, id, order)
        .then((result) => answer(result));
    });
  }

  private takeFacts(socket: Socket, hello: Exclude<Hello, { role: "board" }>): void {
    this.hear(socket, "facts", (message, answer) => {
      if (typeof answer !== "function") return;
      const parsed = parse(FactsMessageSchema, message);
      if (!parsed.ok) return answer([{ ok: false, refusal: parsed.refusal } satisfies Answer]);
      void Promise.all(parsed.value.map((item) => this.takeFact(socket, hello, item.id, item.fact))).then(
        (all) => answer(all),
      );
    });
  }

  private async takeFact(
    socket: Socket,
    hello: Exclude<Hello, { role: "board" }>,
    id: string,
    input: unknown,
  ): Promise<Answer> {
    const lead = hello.role === "lead";
    const rigId = (input as { rigId?: unknown } | null)?.rigId;
    const goodIds = (socket.data.rigIds as string[] | undefined) ?? [];
    const revokedIds = (socket.data.revokedRigIds as string[] | undefined) ?? [];
    const good = goodIds.some((id) => id === rigId);
    const revoked = revokedIds.some((id) => id === rigId);
    // What names no rig of this phone costs the first of its own links.
    const payer = good || revoked ? (rigId as string) : (goodIds[0] ?? revokedIds[0] ?? "");
    const waitMs = lead ? 0 : this.ports.limits.report(payer, !goodIds.includes(payer));
    if (waitMs > 0) return { ok: false, refusal: tooMany(waitMs) };
    const parsed = parse(FactSchema, input);
    if (!parsed.ok) return { ok: false, refusal: parsed.refusal };
    const fact = parsed.value;
    if (!lead && !good && !revoked) {
      return {
        ok: false,
        refusal: refusal("not-allowed", `this link does not speak for rig ${fact.rigId}`, { field: "rigId" }),
      };
    }
    return this.ports.keeper.fact(
      {
        sender: `device:${hello.deviceId}`,
        actor: lead ? (socket.data.actor as string) : `rig:${fact.rigId}`,
        deviceId: hello.deviceId,
        linkRevoked: revoked,
      },
      id,
      fact,
    );
  }

  private takePulses(socket: Socket, hello: Exclude<Hello, { role: "board" }>): void {
    // Asked now: once a connection has ended it has no addresses any more.
    const onHub = isOnHubsMachine(socket);
    let [heard, since] = [0, performance.now()];
    this.hear(socket, "pulse", (message) => {
      const at = performance.now();
      if (at - since > 1000) [heard, since] = [0, at];
      if (++heard > MOST_PULSES_PER_S) return;
      if (hello.role === "lead") this.ports.keys.touch(socket.data.sessionHash as string);
      const parsed = parse(PulseSchema, message);
      if (!parsed.ok) return;
      const { ownClockOffsetMs, boundMs } = parsed.value;
      this.ports.presence.pulse(socket.id, parsed.value);
      if (ownClockOffsetMs !== null && boundMs !== null) {
        const { clock } = this.ports;
        const own = onHub ? clock.ownClockOffsetMs() : null;
        if (own === null || !repeatsOwnClock(hello.role, ownClockOffsetMs, boundMs, own))
          clock.addWitness(hello.deviceId, ownClockOffsetMs, boundMs, hello.label);
        this.ports.log.addClockSamples([
          {
            utcMs: this.ports.clock.now(),
            deviceId: hello.deviceId,
            offsetMs: ownClockOffsetMs,
            boundMs,
            delayMs: 0,
          },
        ]);
      }
      this.presenceChanged();
    });
  }

  private catchUp(socket: Socket, hello: Exclude<Hello, { role: "board" }>): void {
    const { last } = hello;
    const usable = last && last.epoch === this.ports.log.epoch && hello.evolveVersion === EVOLVE_VERSION;
    this.sendSince(socket, usable ? last.seq : -1);
  }

  /** What a client lacks after a sequence number; the whole state when that is too much. */
  private sendSince(socket: Socket, seq: number): void {
    const { keeper, log } = this.ports;
    const { state } = keeper;
    if (seq < 0 || seq > state.seq || state.seq - seq > MOST_EVENTS_BEHIND) {
      socket.emit("state", { seq: state.seq, state });
      return;
    }
    const events: SiteEvent[] = [];
    for (const event of log.read({ afterSeq: seq, limit: state.seq - seq })) events.push(upcast(event));
    socket.emit("events", events);
  }

  private boardNow(): BoardSnapshot {
    const { keeper, clock, alerts } = this.ports;
    return boardSnapshot(keeper.state, clock.now(), alerts.clockHealth());
  }

  private sendBoard(): void {
    const snapshot = this.boardNow();
    const text = JSON.stringify(snapshot);
    if (text === this.lastBoard) return;
    this.lastBoard = text;
    this.ports.io.to("boards").emit("board", snapshot);
  }

  private presenceChanged(): void {
    if (this.presenceDue) return;
    this.presenceDue = setTimeout(() => {
      this.presenceDue = null;
      this.ports.io.to("leads").emit("presence", this.ports.presence.get());
    }, PRESENCE_MS);
  }

  /** A revoked or removed rig's devices are sent away; they come back and are told why. */
  private recheckLinks(): void {
    const { keeper, keys } = this.ports;
    for (const socket of this.ports.io.sockets.sockets.values()) {
      const hello = socket.data.hello as Hello | undefined;
      if (hello?.role !== "rig") continue;
      const rigIds = (socket.data.rigIds as string[] | undefined) ?? [];
      const stillGood = hello.rigs.filter(({ id, token }) => {
        const verdict = keys.checkRigToken(id, token, ownValue(keeper.state.generations, id) ?? 0);
        return verdict.ok && !verdict.revoked && keeper.state.plan.rigs.some((rig) => rig.id === id);
      });
      if (stillGood.length !== rigIds.length) socket.disconnect(true);
    }
  }
}
