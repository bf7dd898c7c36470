/** Ports of the test's own: a clock and timers that move when told, a socket that a test plays. */
import type {
  QueuedFact,
  SavedSession,
  SavedState,
  SessionPorts,
  SocketPort,
  StorePort,
} from "../../../shared/link/session-types.ts";
import type { Hello } from "../../../shared/protocol/messages.ts";
import type { Refusal } from "../../../shared/run/orders/refusal.ts";
import { monoMs, utcMs } from "../../../shared/time/instants.ts";

export const WALL_AT_START = Date.UTC(2027, 6, 25);

export class FakeWorld {
  now = 1000;
  private timers: { at: number; task: () => void }[] = [];

  readonly clock = {
    mono: () => monoMs(this.now),
    wall: () => utcMs(WALL_AT_START + this.now),
  };

  readonly port = {
    after: (ms: number, task: () => void): (() => void) => {
      const timer = { at: this.now + ms, task };
      this.timers.push(timer);
      return () => {
        this.timers = this.timers.filter((other) => other !== timer);
      };
    },
  };

  /** Lets time pass, timer by timer, and promises settle in between. */
  async pass(ms: number): Promise<void> {
    const end = this.now + ms;
    await settle();
    for (;;) {
      const next = this.timers.filter((timer) => timer.at <= end).sort((a, b) => a.at - b.at)[0];
      if (!next) break;
      this.timers = this.timers.filter((timer) => timer !== next);
      this.now = Math.max(this.now, next.at);
      next.task();
      await settle();
    }
    this.now = end;
  }
}

/** Lets everything that waits on promises go on. */
export async function settle(): Promise<void> {
  for (let turn = 0; turn < 20; turn++) await Promise.resolve();
}

export class FakeSocket implements SocketPort {
  connected = false;
  auth: Hello | undefined;
  connects = 0;
  closes = 0;
  readonly emitted: { event: string; data: unknown }[] = [];
  readonly requests: { event: string; data: unknown }[] = [];
  /** How the far side answers; by default it never does. */
  answer: (event: string, data: unknown) => Promise<unknown> = () => new Promise(() => {});
  private readonly listeners = new Map<string, ((data: unknown) => void)[]>();

  connect(): void {
    this.connects++;
  }
  disconnect(): void {
    this.closes++;
    const was = this.connected;
    this.connected = false;
    if (was) this.hear("disconnect", "closed here");
  }
  setAuth(auth: Hello): void {
    this.auth = auth;
  }
  on(event: string, listener: (data: unknown) => void): void {
    this.listeners.set(event, [...(this.listeners.get(event) ?? []), listener]);
  }
  emit(event: string, data: unknown): void {
    this.emitted.push({ event, data });
  }
  request(event: string, data: unknown): Promise<unknown> {
    this.requests.push({ event, data });
    return this.answer(event, data);
  }

  /** What anybody listens for. */
  get listensFor(): string[] {
    return [...this.listeners.keys()];
  }

  /** Something arrives from the hub. */
  hear(event: string, data?: unknown): void {
    for (const listener of this.listeners.get(event) ?? []) listener(data);
  }
  open(epoch = "log-1", rigIds: string[] = ["west"], refused: unknown[] = []): void {
    this.connected = true;
    this.hear("connect");
    this.hear("welcome", { protocol: 1, version: "test", epoch, rigIds, refused });
  }
  drop(): void {
    this.connected = false;
    this.hear("disconnect", "transport close");
  }
}

export class FakeStore implements StorePort {
  saved: SavedSession = {
    deviceId: "phone-1",
    state: null,
    clock: null,
    outbox: [],
    rejected: [],
  };
  nextDeviceSeq = 0;
  /** What was done, in order: "queue a", "unqueue a" … */
  readonly steps: string[] = [];
  failing = false;

  private step(name: string): void {
    if (this.failing) throw new Error("the disk is full");
    this.steps.push(name);
  }
  async load(): Promise<SavedSession> {
    return structuredClone(this.saved);
  }
  async saveState(state: SavedState): Promise<void> {
    this.saved = { ...this.saved, state };
  }
  async saveClock(clock: unknown): Promise<void> {
    this.saved = { ...this.saved, clock };
  }
  async queue(item: QueuedFact): Promise<number> {
    this.step(`queue ${item.id}`);
    const deviceSeq = Math.max(this.nextDeviceSeq, item.fact.deviceSeq);
    const numbered = { ...item, fact: { ...item.fact, deviceSeq } };
    this.saved = { ...this.saved, outbox: [...this.saved.outbox, numbered] };
    this.nextDeviceSeq = deviceSeq + 1;
    return deviceSeq;
  }
  async waiting(): Promise<QueuedFact[]> {
    return structuredClone(this.saved.outbox);
  }
  async unqueue(id: string): Promise<void> {
    this.step(`unqueue ${id}`);
    this.saved = { ...this.saved, outbox: this.saved.outbox.filter((item) => item.id !== id) };
  }
  async reject(item: QueuedFact, refusal: Refusal): Promise<void> {
    this.step(`reject ${item.id}`);
    this.saved = {
      ...this.saved,
      outbox: this.saved.outbox.filter((other) => other.id !== item.id),
      rejected: [...this.saved.rejected, { ...item, refusal }],
    };
  }
}

export function fakePorts(world: FakeWorld, socket: FakeSocket, store: StorePort): SessionPorts {
  let ids = 0;
  return { clock: world.clock, timers: world.port, socket, store, newId: () => `id-${++ids}` };
}
