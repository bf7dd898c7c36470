/**
 * One port for http and https: phones type one address, and a firewall needs one hole.
 *
 * A TLS connection begins with a handshake record, first byte 0x16 (RFC 8446, 5.1); no http
 * method begins with it (RFC 9110, 5.6.2: letters and a few signs). So the first byte of a
 * connection says which server it goes to. Until that byte has come the connection is ours: it
 * is dropped after `firstByteMs`, and after that the servers' own time limits hold.
 *
 * Whoever holds thousands of connections open must not keep others out. An address has its share.
 * When all are taken, a newcomer gets the place of the quietest of the address that holds most;
 * where nobody is quiet, the hub's own machine still has a few places kept for it. A socket in
 * use is never quiet: both sides ping every two seconds.
 */
import { createServer as createHttpServer, type Server as HttpServer, type RequestListener } from "node:http";
import { createServer as createHttpsServer, type Server as HttpsServer } from "node:https";
import {
  type AddressInfo,
  createServer as createNetServer,
  type Server as NetServer,
  type Socket,
} from "node:net";

import { isOwnMachine } from "./own-machine.ts";

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
  /** Connections at one time, all kinds together; beyond it quiet ones have to give way. */
  maxConnections?: number;
  /** Of them from one address: a whole school may stand behind one. */
  maxPerAddress?: number;
  /** How often it is looked which connections are quiet. */
  quietMs?: number;
}

/** A connection on which nothing was read or written since it was last looked is quiet. */
interface Held {
  address: string;
  bytes: number;
  quiet: boolean;
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
  readonly #sockets = new Map<Socket, Held>();
  readonly #perAddress = new Map<string, number>();
  readonly #most: { ofAll: number; ofOne: number; forOwn: number };
  readonly #look: NodeJS.Timeout;
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
    const ofAll = options.maxConnections ?? 4000;
    const forOwn = Math.floor(ofAll / 20);
    this.#most = { ofAll, ofOne: options.maxPerAddress ?? Math.max(1, ofAll / 4), forOwn };
    // One more, which is looked at and turned away or let in for another.
    this.#net.maxConnections = ofAll + forOwn + 1;
    this.#look = setInterval(() => this.#noteQuiet(), options.quietMs ?? 5000).unref();
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
    clearInterval(this.#look);
    const closed = new Promise<void>((resolve) => {
      if (this.#net.listening) this.#net.close(() => resolve());
      else resolve();
    });
    for (const server of [this.http, this.https]) {
      server?.close(() => {});
      server?.closeIdleConnections();
    }
    const timer = setTimeout(() => {
      for (const socket of this.#sockets.keys()) socket.destroy();
    }, graceMs);
    await closed;
    clearTimeout(timer);
  }

  #greet(socket: Socket): void {
    if (!this.#hold(socket)) {
      socket.destroy();
      return;
    }
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

  /** Gives a connection its place; false when there is none for it. */
  #hold(socket: Socket): boolean {
    const own = isOwnMachine(socket);
    const address = socket.remoteAddress ?? "";
    const count = this.#perAddress.get(address) ?? 0;
    if (!own && count >= this.#most.ofOne) return false;
    const { ofAll, forOwn } = this.#most;
    const full = this.#sockets.size >= ofAll;
    if (full && !this.#makeRoom() && !(own && this.#sockets.size < ofAll + forOwn)) return false;
    this.#sockets.set(socket, { address, bytes: 0, quiet: false });
    this.#perAddress.set(address, count + 1);
    socket.once("close", () => this.#letGo(socket, address));
    return true;
  }

  #letGo(socket: Socket, address: string): void {
    if (!this.#sockets.delete(socket)) return;
    const left = (this.#perAddress.get(address) ?? 1) - 1;
    if (left > 0) this.#perAddress.set(address, left);
    else this.#perAddress.delete(address);
  }

  /** Ends the oldest quiet connection of the address that holds most of those who have one. */
  #makeRoom(): boolean {
    const oldest = new Map<string, Socket>();
    for (const [socket, { address, quiet }] of this.#sockets)
      if (quiet && !oldest.has(address)) oldest.set(address, socket);
    const held = (address: string): number => this.#perAddress.get(address) ?? 0;
    const [worst] = [...oldest].sort(([a], [b]) => held(b) - held(a));
    if (!worst) return false;
    const [address, socket] = worst;
    socket.destroy();
    this.#letGo(socket, address);
    return true;
  }

  #noteQuiet(): void {
    for (const [socket, held] of this.#sockets) {
      const bytes = socket.bytesRead + socket.bytesWritten;
      held.quiet = bytes === held.bytes;
      held.bytes = bytes;
    }
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
