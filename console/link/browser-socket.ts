/** The socket port of a page: Socket.IO with its own reconnecting switched off (the session's
 * watchdog decides), WebSocket first, polling where a network blocks it. */
import { io } from "socket.io-client";
import type { SocketPort } from "../../shared/link/session-types.ts";

export function browserSocket(): SocketPort {
  let auth: unknown = {};
  const socket = io({
    autoConnect: false,
    reconnection: false,
    transports: ["websocket", "polling"],
    tryAllTransports: true,
    auth: (give) => give(auth as object),
  });
  return {
    get connected() {
      return socket.connected;
    },
    connect: () => void socket.connect(),
    disconnect() {
      // The engine's socket is closed without a goodbye: on a silent link nobody would answer.
      const engine = socket.io.engine as { close?: () => void } | undefined;
      socket.disconnect();
      engine?.close?.();
    },
    setAuth(next) {
      auth = next;
    },
    on: (event, listener) => void socket.on(event, listener as (data: unknown) => void),
    emit(event, data) {
      if (socket.connected) socket.emit(event, data);
    },
    request: (event, data, timeoutMs) => socket.timeout(timeoutMs).emitWithAck(event, data),
  };
}
