/**
 * The socket port of a page: Socket.IO with its own reconnecting switched off (the session's
 * watchdog decides), WebSocket first, polling where a network blocks it.
 *
 * The client is fetched beside the page instead of within it: what the phone holds is shown
 * before that, and a fetch that fails is tried again.
 *
 * Chromium holds new WebSockets back when many have failed: by 1 to 5 s each after sixteen
 * failures within a few minutes (services/network/websocket_throttler.cc, from memory; seen: a
 * page whose hub had been away for eight seconds came back 14 s after it). So after a few vain
 * attempts the page knocks with a plain request, and opens a WebSocket only when that is answered.
 */
import type { Socket } from "socket.io-client";
import type { SocketPort } from "../../shared/link/session-types.ts";
import type { Asking, FromHub, Telling, ToHub } from "../../shared/protocol/messages.ts";

const AGAIN_MS = 1000;
/** So many attempts go without knocking: on a short cut every round trip counts. */
const DIRECT_ATTEMPTS = 4;

const fetchClient = () => import("./socket-client.ts");
/** Asked for as soon as the page's script runs, not only when a session is opened. */
const early = fetchClient();
early.catch(() => undefined);

export function browserSocket(): SocketPort {
  let auth: object = {};
  let socket: Socket<FromHub, ToHub> | null = null;
  let wanted = false;
  let vain = 0;
  let knock: AbortController | null = null;
  const listeners: Parameters<SocketPort["on"]>[] = [];
  const load = (client = early): void => {
    client.then(
      ({ io }) => {
        socket = io({
          autoConnect: false,
          reconnection: false,
          transports: ["websocket", "polling"],
          tryAllTransports: true,
          auth: (give) => give(auth),
        });
        socket.on("connect", () => {
          vain = 0;
        });
        for (const [event, listener] of listeners) socket.on(event, listener);
        if (wanted) open();
      },
      () => setTimeout(() => load(fetchClient()), AGAIN_MS),
    );
  };
  const open = (): void => {
    if (!socket) return;
    vain++;
    if (vain <= DIRECT_ATTEMPTS) {
      socket.connect();
      return;
    }
    const own = new AbortController();
    knock = own;
    fetch("/api/health", { cache: "no-store", signal: own.signal }).then(
      ({ ok }) => {
        if (ok && wanted && knock === own) socket?.connect();
      },
      () => undefined,
    );
  };
  load();
  return {
    get connected() {
      return socket?.connected ?? false;
    },
    connect() {
      wanted = true;
      open();
    },
    disconnect() {
      wanted = false;
      knock?.abort();
      knock = null;
      // The engine's socket is closed without a goodbye: on a silent link nobody would answer.
      const engine = socket?.io.engine;
      socket?.disconnect();
      engine?.close();
    },
    setAuth(next) {
      auth = next;
    },
    on(event, listener) {
      listeners.push([event, listener]);
      socket?.on(event, listener);
    },
    emit(name: Telling, data) {
      if (socket?.connected) socket.emit(name, data);
    },
    request(name: Asking, data, timeoutMs) {
      if (!socket) return Promise.reject(new Error("not connected"));
      return socket.timeout(timeoutMs).emitWithAck(name, data);
    },
  };
}
