/**
 * One port for http and https: phones type one address, and a firewall needs one hole.
 *
 * A TLS connection begins with a handshake record, first byte 0x16 (RFC 8446, 5.1); no http
 * method begins with it (RFC 9110, 5.6.2: letters and a few signs). So the first byte of a
 * connection says which server it goes to. Until that byte has come the connection is ours: it
 * is dropped after `firstByteMs`, and after that the servers' own time limits hold.
 */
import { createServer as createHttpServer, type Server as HttpServer, type RequestListener } from "node:http";
import { createServer as createHttpsServer, type Server as HttpsServer } from "node:https";
import {
  type AddressInfo,
  createServer as createNetServer,
  type Server as NetServer,
  type Socket,
} from "node:net";

const TLS_HANDSHAKE = 0x16;

export interface KeyPair {
  cert: string;
  key: string;
}

export interface OnePortOptions {
  onRequest: RequestListener;
  /** Without it a TLS connection is closed at once. */
  tls?: KeyPair | undefined;
  firstByteMs?: number;
  headersMs?: number;
  /** Connections at one time, all kinds together; more are refused. */
  maxConnections?: number;
}

export class PortError extends Error {
  override name = "PortError";
  constructor(
    readonly code: "taken" | "forbidden" | "no-such-host" | "failed",
    message: string,
    options?: { cause?: unknown },
  ) {
    super(message, options);
  }
}

export class OnePort {
  readonly http: HttpServer;
  /** There only when a certificate was given. */
  readonly https: HttpsServer | undefined;
  readonly #net: NetServer;
  readonly #sockets = new Set<Socket>();
  readonly #firstByteMs: number;

  constructor(options: OnePortOptions) {
    this.#firstByteMs = options.firstByteMs ?? 10_000;
    const limits = { headersTimeout: options.headersMs ?? 15_000, keepAliveTimeout: 20_000 };
    const checks = { connectionsCheckingInterval: Math.min(5000, limits.headersTimeout) };
    this.http = createHttpServer({ ...limits, ...checks }, options.onRequest);
    if (options.tls) {
      const tls = { ...options.tls, minVersion: "TLSv1.2" as const, handshakeTimeout: this.#firstByteMs };
      this.https = createHttpsServer({ ...limits, ...checks, ...tls }, options.onRequest);
    }
    this.#net = createNetServer({ pauseOnConnect: false, noDelay: true }, (socket) => this.#greet(socket));
    this.#net.maxConnections = options.maxConnections ?? 4000;
  }

  /** Resolves with the port (useful when 0 was asked for). Rejects with PortError. */
  listen(port: number, host?: string): Promise<number> {
    return new Promise((resolve, reject) => {
      this.#net.once("error", (error: NodeJS.ErrnoException) => reject(asPortError(error, port, host)));
      this.#net.listen({ port, ...(host && { host }) }, () => {
        this.#net.removeAllListeners("error");
        this.#net.on("error", (error) => console.error(`port ${port}: ${error.message}`));
        // The inner servers never listen themselves, but only at this event do they begin to
        // watch over slow headers (headersTimeout).
        this.http.emit("listening");
        this.https?.emit("listening");
        resolve((this.#net.address() as AddressInfo).port);
      });
    });
  }

  /** Takes effect for new connections; the ones there stay. */
  setCertificate(pair: KeyPair): void {
    this.https?.setSecureContext({ ...pair, minVersion: "TLSv1.2" });
  }

  /** Takes no more connections, lets answers under way finish for `graceMs`, then cuts the rest. */
  async close(graceMs = 1000): Promise<void> {
    const closed = new Promise<void>((resolve) => {
      if (this.#net.listening) this.#net.close(() => resolve());
      else resolve();
    });
    for (const server of [this.http, this.https]) {
      server?.close(() => {});
      server?.closeIdleConnections();
    }
    const timer = setTimeout(() => {
      for (const socket of this.#sockets) socket.destroy();
    }, graceMs);
    await closed;
    clearTimeout(timer);
  }

  #greet(socket: Socket): void {
    this.#sockets.add(socket);
    socket.once("close", () => this.#sockets.delete(socket));
    const giveUp = (): void => {
      socket.destroy();
    };
    const timer = setTimeout(giveUp, this.#firstByteMs);
    // Stays on: a connection cut off while it changes hands must not end the hub.
    socket.on("error", giveUp);
    socket.once("close", () => clearTimeout(timer));
    socket.once("data", (chunk: Buffer) => {
      clearTimeout(timer);
      socket.pause();
      socket.unshift(chunk);
      const server = chunk[0] === TLS_HANDSHAKE ? this.https : this.http;
      if (!server) {
        giveUp();
        return;
      }
      server.emit("connection", socket);
      process.nextTick(() => socket.resume());
    });
  }
}

function asPortError(error: NodeJS.ErrnoException, port: number, host: string | undefined): PortError {
  const options = { cause: error };
  switch (error.code) {
    case "EADDRINUSE":
      return new PortError(
        "taken",
        `Port ${port} is taken by another program. Stop that one, or start this hub with another --port.`,
        options,
      );
    case "EACCES":
      return new PortError(
        "forbidden",
        `Port ${port} may not be used by this user. Choose a --port from 1024 up.`,
        options,
      );
    case "EADDRNOTAVAIL":
    case "ENOTFOUND":
    case "EAI_AGAIN":
    case "EINVAL":
      return new PortError("no-such-host", `--host ${host}: this machine has no such address.`, options);
    default:
      return new PortError("failed", `Port ${port} cannot be opened: ${error.message}`, options);
  }
}
