/**
 * People and phones at work on a hub that may die at any instant. What was sent and not
 * acknowledged is sent again, with the same id and body, as phones do.
 */
import { setTimeout as pause } from "node:timers/promises";
import { letIn, type PlainSocket, plainSocket } from "../../../hub/people/plain-socket.ts";
import type { Answer } from "../../../shared/protocol/messages.ts";
import { PROTOCOL } from "../../../shared/protocol/version.ts";
import type { HubProcess } from "./hub-process.ts";
import { type Ledger, leadSender } from "./ledger.ts";

export const CREW_RIGS = 12;
export const crewPlan = (group: string) => ({
  group,
  eclipse: "2027-08-02",
  site: { name: "Palm Field", latDeg: 25.5, lonDeg: 32.6, heightM: 80 },
  rigs: Array.from({ length: CREW_RIGS }, (_, n) => ({
    id: `rig-${n}`,
    name: `Rig ${n}`,
    kind: "tracked-telescope",
    focalLengthMm: 400,
  })),
});

const ANSWER_LIMIT_MS = 10_000;
const CONNECT_LIMIT_MS = 3000;

interface Waiting {
  rigId: string;
  id: string;
  batteryPct: number;
  at: number;
}

export class Crew {
  private working = false;
  private workers: Promise<void>[] = [];
  private readonly sockets = new Set<PlainSocket>();
  private readonly tokens = new Map<string, string>();
  private readonly waiting = new Map<string, Waiting[]>();
  private made = 0;

  constructor(
    private readonly hub: HubProcess,
    private readonly ledger: Ledger,
    private readonly random: () => number,
  ) {}

  /** Tokens of all rigs; they outlive the hub. */
  async meet(): Promise<void> {
    for (let n = 0; n < CREW_RIGS; n++) this.tokens.set(`rig-${n}`, await this.hub.rigToken(`rig-${n}`));
  }

  begin(): void {
    this.working = true;
    this.workers = [...this.tokens.keys()].map((rigId, n) =>
      n % 2 === 0 ? this.overHttp(rigId) : this.overSocket(rigId),
    );
    this.workers.push(this.lead());
  }

  async stop(): Promise<void> {
    this.working = false;
    await Promise.all(this.workers);
    for (const socket of this.sockets) socket.disconnect();
    this.sockets.clear();
    this.open.clear();
  }

  /** Sends what was not acknowledged again until it is; gives how many could not be delivered. */
  async deliver(): Promise<number> {
    for (let turn = 0; turn < 40; turn++) {
      const open = [...this.waiting].filter(([, items]) => items.length > 0);
      if (open.length === 0) return 0;
      await Promise.all(
        open.map(([rigId, items]) =>
          rigId.endsWith("!") ? this.sendBatch(rigId.slice(0, -1), items) : this.sendOne(rigId, items),
        ),
      );
    }
    return [...this.waiting.values()].reduce((sum, items) => sum + items.length, 0);
  }

  private next(rigId: string): Waiting {
    const batteryPct = Math.floor(this.random() * 101);
    return { rigId, id: `k-${++this.made}-${rigId}`, batteryPct, at: Date.now() };
  }

  private outbox(key: string): Waiting[] {
    const known = this.waiting.get(key) ?? [];
    this.waiting.set(key, known);
    return known;
  }

  private async overHttp(rigId: string): Promise<void> {
    const items = this.outbox(rigId);
    while (this.working) {
      if (items.length === 0) items.push(this.next(rigId));
      if (!(await this.sendOne(rigId, items))) await pause(20);
    }
  }

  private async sendOne(rigId: string, items: Waiting[]): Promise<boolean> {
    const [item] = items;
    if (!item) return true;
    const report = { id: item.id, atUtcMs: item.at, batteryPct: item.batteryPct };
    try {
      const answer = await this.hub.call(
        "POST",
        `/api/rigs/${rigId}/reports`,
        report,
        this.tokens.get(rigId),
      );
      if (answer.status !== 200) return false;
      this.ledger.note({
        sender: `http:${rigId}`,
        commandId: item.id,
        seq: answer.body.seq,
        batteryPct: item.batteryPct,
      });
      items.shift();
      return true;
    } catch {
      return false;
    }
  }

  private async overSocket(rigId: string): Promise<void> {
    const items = this.outbox(`${rigId}!`);
    while (this.working) {
      while (items.length < 1 + Math.floor(this.random() * 8)) items.push(this.next(rigId));
      if (!(await this.sendBatch(rigId, items))) await pause(20);
    }
  }

  /** One batch over a socket of its own while it holds; true when all of it was taken. */
  private async sendBatch(rigId: string, items: Waiting[]): Promise<boolean> {
    const socket = await this.socketOf(rigId);
    if (!socket) return false;
    const batch = items.slice(0, 20);
    const facts = batch.map((item) => ({
      id: item.id,
      fact: {
        v: 1 as const,
        rigId,
        deviceSeq: Number(item.id.split("-")[1]),
        observedUtcMs: item.at,
        report: { batteryPct: item.batteryPct },
      },
    }));
    const answers = await new Promise<readonly Answer[]>((resolve) => {
      const give = (value: readonly Answer[]) => {
        clearTimeout(timer);
        socket.off("disconnect", none);
        resolve(value);
      };
      const none = () => give([]);
      socket.once("disconnect", none);
      const timer = setTimeout(none, ANSWER_LIMIT_MS);
      socket.emit("facts", facts, give);
    });
    for (const [n, answer] of answers.entries()) {
      const item = batch[n];
      if (!answer?.ok || !item) continue;
      this.ledger.note({
        sender: `device:phone-${rigId}`,
        commandId: item.id,
        seq: answer.seq,
        batteryPct: item.batteryPct,
      });
      items.splice(items.indexOf(item), 1);
    }
    return items.length === 0;
  }

  private readonly open = new Map<string, PlainSocket>();

  private async socketOf(rigId: string): Promise<PlainSocket | undefined> {
    const known = this.open.get(rigId);
    if (known?.connected) return known;
    known?.disconnect();
    const socket = plainSocket(this.hub.url, {
      role: "rig",
      rigs: [{ id: rigId, token: this.tokens.get(rigId) ?? "" }],
      deviceId: `phone-${rigId}`,
      protocol: PROTOCOL,
    });
    this.sockets.add(socket);
    const there = await letIn(socket, CONNECT_LIMIT_MS).then(
      () => true,
      () => false,
    );
    if (there) this.open.set(rigId, socket);
    else {
      socket.disconnect();
      this.sockets.delete(socket);
    }
    return there ? socket : undefined;
  }

  /** Plans, practice, calls and cover, one after another in an order left to chance. */
  private async lead(): Promise<void> {
    while (this.working) {
      const dice = this.random();
      if (dice < 0.35) await this.savePlan();
      else if (dice < 0.5) await this.order({ type: "startPractice", anchor: "C2", offsetS: -180, rate: 1 });
      else if (dice < 0.6) await this.order({ type: "endPractice" });
      else if (dice < 0.75) await this.cover(dice < 0.68);
      else await this.order({ type: "sendMessage", text: `Word ${++this.made}`, rigIds: null });
      await pause(this.random() * 60);
    }
  }

  async cover(on: boolean): Promise<void> {
    // Of two at one time nobody can say which the hub takes last.
    const turn = ++this.coverTurn;
    const alone = this.coversUnderWay++ === 0;
    this.ledger.cover = undefined;
    const done = await this.order({ type: on ? "cover" : "releaseCover" });
    this.coversUnderWay--;
    if (done && alone && turn === this.coverTurn) this.ledger.cover = on;
  }

  private coverTurn = 0;
  private coversUnderWay = 0;

  async savePlan(): Promise<void> {
    const group = `Group ${++this.made}`;
    const known = await this.ask("GET", "/api/plan");
    if (known?.status !== 200) return;
    const body = { ...crewPlan(group), revision: known.body.revision };
    const answer = await this.ask("PUT", "/api/plan", body);
    if (answer?.status !== 200) return;
    const { revision } = answer.body;
    if (revision > (this.ledger.plan?.revision ?? 0)) this.ledger.plan = { revision, group };
  }

  private async order(order: Record<string, unknown>): Promise<boolean> {
    const id = `order-${++this.made}-${Math.floor(this.random() * 1e9)}`;
    const answer = await this.ask("POST", "/api/orders", { id, order });
    if (answer?.status !== 200) return false;
    const sender = leadSender(await this.hub.lead());
    this.ledger.note({ sender, commandId: id, seq: answer.body.seq });
    return true;
  }

  private async ask(method: string, path: string, body?: unknown) {
    return this.hub.asLead(method, path, body).catch(() => undefined);
  }
}
