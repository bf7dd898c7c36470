/**
 * The sockets of the site: lets clients in and gives each what belongs to its role. What each part
 * does stands in a file of its own: admit, facts, orders, clock probes, pulses, catch-up, broadcast.
 * Rules live in shared/run, never here. A message that does not parse is refused to its sender alone.
 */
import type { Welcome } from "../../shared/protocol/messages.ts";
import { PROTOCOL } from "../../shared/protocol/version.ts";
import type { SiteEvent } from "../../shared/run/events.ts";
import { refusal } from "../../shared/run/orders/refusal.ts";
import type { BoardFeed } from "../feeds/board-feed.ts";
import type { EventLog } from "../log/event-log.ts";
import type { AlertDesk } from "../site/alert-desk.ts";
import { Admission, type AdmitPorts } from "./admit.ts";
import { Broadcast } from "./broadcast.ts";
import { catchUp } from "./catch-up.ts";
import type { HubServer, HubSocket, LeadClient, RigClient } from "./client.ts";
import { answerProbes } from "./clock-probes.ts";
import { takeFacts } from "./facts.ts";
import { guardRate } from "./message-guard.ts";
import { takeOrders } from "./orders.ts";
import { takePulses } from "./pulses.ts";

export interface SocketPorts extends AdmitPorts {
  io: HubServer;
  log: EventLog;
  alerts: AlertDesk;
  boards: BoardFeed;
  version: string;
  /** A bug at one socket: told, and nothing else happens. */
  onBug: (error: unknown) => void;
}

export class SiteSockets {
  private readonly admission: Admission;
  private readonly broadcast: Broadcast;
  private readonly heldBack = new Set<{ rigIds: readonly string[] }>();

  constructor(private readonly ports: SocketPorts) {
    const { io, keeper } = ports;
    this.admission = new Admission(ports);
    this.broadcast = new Broadcast(ports);
    io.use((socket, next) => {
      const verdict = this.admission.judge(socket.handshake.auth);
      if ("code" in verdict) return next(Object.assign(new Error(verdict.message), { data: verdict }));
      if (verdict.role === "rig" && this.isHeldBack(verdict)) return next(new Error("held back"));
      socket.data.client = verdict;
      next();
    });
    io.on("connection", (socket) => this.comeIn(socket));
    keeper.on("events", (events) => this.noteLinks(events));
  }

  /** The hub's clock was moved at once. */
  announceClock(): void {
    this.broadcast.announceClock();
  }

  /**
   * As if the hub were gone, for phones that hold none but these rigs: they are cut off and find nobody
   * (no word, so that they go on knocking) until what this gives is called.
   */
  holdBack(rigIds: readonly string[]): () => void {
    const hold = { rigIds };
    this.heldBack.add(hold);
    for (const socket of [...this.ports.io.sockets.sockets.values()]) {
      const { client } = socket.data;
      if (client.role === "rig" && this.isHeldBack(client)) socket.disconnect(true);
    }
    return () => this.heldBack.delete(hold);
  }

  private isHeldBack({ rigIds }: RigClient): boolean {
    return [...this.heldBack].some(
      (hold) => rigIds.length > 0 && rigIds.every((id) => hold.rigIds.includes(id)),
    );
  }

  /** Whether a session has a console open. */
  isAtWork(sessionHash: string): boolean {
    return this.ofSession(sessionHash).some(({ connected }) => connected);
  }

  /** A lead signed out: what that session had open is closed. */
  signOut(sessionHash: string): void {
    for (const socket of this.ofSession(sessionHash)) socket.disconnect(true);
  }

  close(): void {
    this.broadcast.close();
  }

  private ofSession(sessionHash: string): HubSocket[] {
    return [...this.ports.io.sockets.sockets.values()].filter(
      ({ data: { client } }) => client.role === "lead" && client.sessionHash === sessionHash,
    );
  }

  /** A bug in letting one client in sends that one away, to knock again; the others go on. */
  private comeIn(socket: HubSocket): void {
    try {
      this.welcome(socket);
    } catch (error) {
      this.ports.onBug(error);
      socket.disconnect(true);
    }
  }

  private welcome(socket: HubSocket): void {
    const { client } = socket.data;
    guardRate(socket, () => this.blame(socket));
    answerProbes(socket, this.ports);
    if (client.role === "board") this.welcomeBoard(socket);
    else if (client.role === "lead") this.welcomeLead(socket, client);
    else this.welcomeRig(socket, client.hello);
  }

  private welcomeBoard(socket: HubSocket): void {
    void socket.join("boards");
    socket.emit("welcome", this.word());
    socket.emit("board", this.ports.boards.newest().snapshot);
  }

  private welcomeLead(socket: HubSocket, client: LeadClient): void {
    const { presence, alerts } = this.ports;
    socket.emit("welcome", this.word());
    catchUp(socket, client, this.ports);
    void socket.join(["site", "leads"]);
    this.tellCover(socket);
    socket.emit("presence", presence.get());
    socket.emit("alerts", alerts.standing());
    takeOrders(socket, client, this.ports);
    this.takeWords(socket, client);
  }

  private welcomeRig(socket: HubSocket, hello: RigClient["hello"]): void {
    // Looked at again: a link may have been revoked since the handshake.
    const { rigIds, formerRigIds, refused } = this.admission.linksOf(hello);
    const client: RigClient = { role: "rig", hello, rigIds, formerRigIds };
    socket.data.client = client;
    socket.emit("welcome", { ...this.word(), rigIds: [...rigIds], refused });
    if (rigIds.length > 0) {
      this.admission.noteJoin(socket, client, () => this.broadcast.presenceChanged());
      catchUp(socket, client, this.ports);
      void socket.join(["site", "rigs"]);
      this.tellCover(socket);
    } else if (formerRigIds.length > 0) {
      void socket.join("former");
      // These read no events: one that was away when it was released would stay covered for ever.
      if (!this.tellCover(socket)) socket.emit("coverReleased", { by: "" });
    } else {
      socket.emit("refused", refusal("not-allowed", "none of this phone's links is good any more"));
      return;
    }
    this.takeWords(socket, client);
  }

  private word(): Welcome {
    const { log, version } = this.ports;
    return { protocol: PROTOCOL, version, epoch: log.epoch, rigIds: [], refused: [] };
  }

  private takeWords(socket: HubSocket, client: LeadClient | RigClient): void {
    takeFacts(socket, client, this.ports);
    takePulses(socket, client, {
      ...this.ports,
      presenceChanged: () => this.broadcast.presenceChanged(),
    });
  }

  /** Also where it is not logged yet, and to those who read on from what they have. */
  private tellCover(socket: HubSocket): boolean {
    const { cover } = this.ports.keeper.state;
    if (cover) socket.emit("cover", { by: cover.by });
    return cover !== null;
  }

  /** What a socket sends is too much: its links are noisy. */
  private blame({ data: { client } }: HubSocket): void {
    if (client.role !== "rig") return;
    for (const id of client.rigIds) this.ports.limits.noteRefusal(id);
  }

  private noteLinks(events: readonly SiteEvent[]): void {
    for (const event of events)
      if (event.type === "linkRevoked") this.ports.limits.forget(event.payload.rigId);
    if (events.some(({ type }) => type === "linkRevoked" || type === "rigRemoved")) this.recheckLinks();
  }

  /** A revoked or removed rig's devices are sent away; they come back and are told why. */
  private recheckLinks(): void {
    for (const socket of this.ports.io.sockets.sockets.values()) {
      const { client } = socket.data;
      if (client.role !== "rig") continue;
      const { rigIds } = this.admission.linksOf(client.hello);
      if (rigIds.length !== client.rigIds.length) socket.disconnect(true);
    }
  }
}
