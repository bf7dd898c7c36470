/**
 * The socket port of a page: Socket.IO with its own reconnecting switched off (the session's
 * watchdog decides), WebSocket first, polling where a network blocks it.
 *
 * The client is fetched beside the page instead of within it: what the phone holds is shown
 * before that, and a fetch that fails is tried again.
 */
import type { Socket } from "socket.io-client";
import type { SocketPort } from "../../shared/link/session-types.ts";

const AGAIN_MS = 1000;

export function browserSocket(): SocketPort {
  let auth: unknown = {};
  let socket: Socket | null = null;
  let wanted = false;
  const listeners: [string, (data: unknown) => void][] = [];
  const load = (): void => {
    import("./socket-client.ts").then(
      ({ io }) => {
        socket = io({
          autoConnect: false,
          reconnection: false,
          transports: ["websocket", "polling"],
          tryAllTransports: true,
          auth: (give) => give(auth as object),
        });
        for (const [event, listener] of listeners) socket.on(event, listener);
        if (wanted) socket.connect();
      },
      () => setTimeout(load, AGAIN_MS),
    );
  };
  load();
  return {
    get connected() {
      return socket?.connected ?? false;
    },
    connect() {
      wanted = true;
      socket?.connect();
    },
    disconnect() {
      wanted = false;
      // The engine's socket is closed without a goodbye: on a silent link nobody would answer.
      const engine = socket?.io.engine as { close?: () => void } | undefined;
      socket?.disconnect();
      engine?.close?.();
    },
    setAuth(next) {
      auth = next;
    },
    on(event, listener) {
      const entry: (typeof listeners)[number] = [event, listener as (data: unknown) => void];
      listeners.push(entry);
      socket?.on(...entry);
    },
    emit(event, data) {
      if (socket?.connected) socket.emit(event, data);
    },
    request(event, data, timeoutMs) {
      if (!socket) return Promise.reject(new Error("not connected"));
      return socket.timeout(timeoutMs).emitWithAck(event, data);
    },
  };
}
