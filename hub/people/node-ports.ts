/**
 * The ports through which a session (shared/link) runs in Node: a WebSocket, a store in memory,
 * Node's timers. For the demo's operators, and for any agent that has no browser.
 */
import { io, type Socket } from "socket.io-client";
import type {
  QueuedFact,
  SavedSession,
  SavedState,
  SessionPorts,
  SocketPort,
  StorePort,
  Timers,
} from "../../shared/link/session-types.ts";
import type { Asking, FromHub, Telling, ToHub } from "../../shared/protocol/messages.ts";
import type { Refusal } from "../../shared/run/orders/refusal.ts";
import { systemClock } from "../../shared/time/clock.ts";
import { newId } from "../new-id.ts";

/** A socket that can be carried out of reach of the network and back. */
export interface NodeSocket extends SocketPort {
  setNetwork(inReach: boolean): void;
}

/**
 * Connects by WebSocket alone, never by itself: the session's watchdog decides when.
 * @param url the hub, e.g. "http://127.0.0.1:8620"
 */
export function nodeSocket(url: string): NodeSocket {
  let auth: object = {};
  let inReach = true;
  const socket: Socket<FromHub, ToHub> = io(url, {
    autoConnect: false,
    reconnection: false,
    forceNew: true,
    transports: ["websocket"],
    // A hub speaking to itself over loopback may have a certificate for another name.
    rejectUnauthorized: false,
    auth: (give) => give(auth),
  });
  const close = (): void => {
    const { engine } = socket.io;
    socket.disconnect();
    engine?.close();
  };
  return {
    get connected() {
      return socket.connected;
    },
    connect() {
      if (inReach) socket.connect();
    },
    disconnect: close,
    setAuth(next) {
      auth = next;
    },
    on: (event, listener) => void socket.on(event, listener),
    emit(name: Telling, data) {
      if (socket.connected) socket.emit(name, data);
    },
    request: (name: Asking, data, timeoutMs) => socket.timeout(timeoutMs).emitWithAck(name, data),
    setNetwork(next) {
      inReach = next;
      if (!next) close();
    },
  };
}

/** Keeps a session as long as the process lives; another session may go on from it. */
export class MemoryStore implements StorePort {
  private state: SavedState | null = null;
  private clock: unknown = null;
  private outbox: QueuedFact[] = [];
  private rejected: (QueuedFact & { refusal: Refusal })[] = [];
  private nextDeviceSeq = 0;

  constructor(private readonly deviceId = newId()) {}

  async load(): Promise<SavedSession> {
    return {
      deviceId: this.deviceId,
      state: this.state,
      clock: this.clock,
      outbox: [...this.outbox],
      rejected: [...this.rejected],
    };
  }

  async saveState(saved: SavedState): Promise<void> {
    this.state = saved;
  }

  async saveClock(saved: unknown): Promise<void> {
    this.clock = saved;
  }

  async queue(item: QueuedFact): Promise<number> {
    const deviceSeq = Math.max(this.nextDeviceSeq, item.fact.deviceSeq);
    this.outbox.push({ ...item, fact: { ...item.fact, deviceSeq } });
    this.nextDeviceSeq = deviceSeq + 1;
    return deviceSeq;
  }

  async waiting(): Promise<QueuedFact[]> {
    return [...this.outbox];
  }

  async unqueue(id: string): Promise<void> {
    this.outbox = this.outbox.filter((item) => item.id !== id);
  }

  async reject(item: QueuedFact, refusal: Refusal): Promise<void> {
    await this.unqueue(item.id);
    this.rejected.push({ ...item, refusal });
  }
}

export const nodeTimers: Timers = {
  after(ms, task) {
    const timer = setTimeout(task, ms);
    return () => clearTimeout(timer);
  },
};

/** All ports of a session with a hub. */
export function nodePorts(
  url: string,
  store: StorePort = new MemoryStore(),
): SessionPorts & { socket: NodeSocket } {
  return { clock: systemClock, timers: nodeTimers, socket: nodeSocket(url), store, newId };
}
