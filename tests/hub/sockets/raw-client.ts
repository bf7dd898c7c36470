/** A client that says whatever a test wants it to say, also what no page would: typed as little as can be. */
import { io, type Socket } from "socket.io-client";
import { PROTOCOL } from "../../../shared/protocol/version.ts";
import type { TestHub } from "../../support/test-hub.ts";

export interface RawClient {
  socket: Socket;
  /** Everything the hub has sent, by event. */
  heard: Record<string, unknown[]>;
  /** The error at the door, or undefined when let in. */
  door: Promise<(Error & { data?: { code: string; field?: string } }) | undefined>;
  closed: Promise<string>;
  /** Sends and waits for the answer; undefined when none comes in time. */
  ask(event: string, ...data: unknown[]): Promise<any>;
}

const clients: Socket[] = [];

export function connect(hub: TestHub, auth: unknown, extraHeaders: Record<string, string> = {}): RawClient {
  const socket = io(hub.url, {
    reconnection: false,
    forceNew: true,
    transports: ["websocket"],
    auth: auth as Record<string, unknown>,
    extraHeaders,
  });
  clients.push(socket);
  const heard: RawClient["heard"] = {};
  socket.onAny((event: string, data: unknown) => {
    heard[event] ??= [];
    heard[event].push(data);
  });
  return {
    socket,
    heard,
    door: new Promise((resolve) => {
      socket.once("connect", () => resolve(undefined));
      socket.once("connect_error", resolve);
    }),
    closed: new Promise((resolve) => socket.once("disconnect", resolve)),
    ask: (event, ...data) =>
      socket
        .timeout(3000)
        .emitWithAck(event, ...data)
        .catch(() => undefined),
  };
}

export function closeClients(): void {
  for (const socket of clients.splice(0)) socket.disconnect();
}

export const leadHello = (token: string) => ({ role: "lead", token, protocol: PROTOCOL, deviceId: "laptop" });

export const rigHello = (hub: TestHub, ...rigIds: string[]) => ({
  role: "rig",
  protocol: PROTOCOL,
  deviceId: `phone-${rigIds.join("-")}`,
  rigs: rigIds.map((id) => ({
    id,
    token: hub.parts.keys.rigToken(id, hub.parts.keeper.state.generations[id] ?? 0),
  })),
});

let facts = 0;
export function factOf(rigId: string, report: unknown, rest: Record<string, unknown> = {}) {
  facts++;
  const observedUtcMs = Date.now();
  return { id: `fact-${facts}`, fact: { v: 1, rigId, deviceSeq: facts, observedUtcMs, report, ...rest } };
}
