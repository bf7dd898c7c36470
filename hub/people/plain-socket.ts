/**
 * A client without a session: a socket that says what it is told to, typed as pages are. For crowds
 * of hundreds in one process, for phones that fail on purpose, for tests of one message.
 */
import { io, type Socket } from "socket.io-client";
import type { ClientToServer, HelloWords, ServerToClient } from "../../shared/protocol/messages.ts";

export type PlainSocket = Socket<ServerToClient, ClientToServer>;

/**
 * Comes in by WebSocket, and never again by itself.
 * @param url the hub, e.g. "http://127.0.0.1:8620"
 */
export function plainSocket(url: string, hello: HelloWords): PlainSocket {
  return io(url, { forceNew: true, reconnection: false, transports: ["websocket"], auth: hello });
}

/** Resolves when the hub lets it in. Rejects when it does not, or says nothing for so long. */
export function letIn(socket: PlainSocket, withinMs = 20_000): Promise<void> {
  return new Promise((resolve, reject) => {
    // One that is closed while it connects says nothing more.
    const timer = setTimeout(() => end(new Error(`not let in within ${withinMs / 1000} s`)), withinMs);
    const end = (error?: Error): void => {
      clearTimeout(timer);
      if (error) reject(error);
      else resolve();
    };
    socket.once("connect", () => end());
    socket.once("connect_error", end);
  });
}
