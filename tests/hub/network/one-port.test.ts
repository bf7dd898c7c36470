import { request as httpRequest, type IncomingMessage, type RequestListener } from "node:http";
import { request as httpsRequest } from "node:https";
import { type AddressInfo, connect as connectNet, createServer, type Socket } from "node:net";
import { connect as connectTls, type TLSSocket } from "node:tls";
import { Server as SocketServer } from "socket.io";
import { io } from "socket.io-client";
import { afterEach, beforeAll, describe, expect, it } from "vitest";
import { makeAuthority, makeLeaf } from "../../../hub/network/certificates.ts";
import { type KeyPair, OnePort, type OnePortOptions, PortError } from "../../../hub/network/one-port.ts";
import { until } from "../../support/until.ts";

let root: KeyPair;
let tls: KeyPair;
beforeAll(async () => {
  root = await makeAuthority("test", Date.now());
  tls = await makeLeaf(root, [], Date.now());
});

const open: OnePort[] = [];
afterEach(async () => {
  for (const port of open.splice(0)) await port.close(0);
});

/** Answers with the scheme it was reached by and how many bytes it was sent. */
const echo: RequestListener = (request, response) => {
  let bytes = 0;
  request.on("data", (chunk: Buffer) => {
    bytes += chunk.length;
  });
  request.on("end", () => {
    const scheme = "encrypted" in request.socket ? "https" : "http";
    response.end(`${scheme} ${bytes} ${request.socket.remoteAddress}`);
  });
};

async function start(options: Partial<OnePortOptions> = {}): Promise<{ one: OnePort; port: number }> {
  const one = new OnePort({ onRequest: echo, tls, ...options });
  open.push(one);
  return { one, port: await one.listen(0, "127.0.0.1") };
}

function send(
  scheme: "http" | "https",
  port: number,
  body: Buffer | string = "",
  agent?: false,
): Promise<string> {
  return new Promise((resolve, reject) => {
    const request = scheme === "http" ? httpRequest : httpsRequest;
    const target = { host: "127.0.0.1", port, method: "POST", ca: root.cert, agent };
    const sent = request(target, (response: IncomingMessage) => {
      let text = "";
      response.on("data", (chunk: Buffer) => {
        text += chunk.toString();
      });
      response.on("end", () => resolve(text));
    });
    sent.on("error", reject);
    sent.end(body);
  });
}

/** Sends bytes on a bare connection; resolves with what came back when the hub closes it. */
function raw(
  port: number,
  bytes: Buffer | string,
  slowly = false,
): Promise<{ text: string; afterMs: number }> {
  return new Promise((resolve) => {
    const startedMs = performance.now();
    let text = "";
    const socket: Socket = connectNet(port, "127.0.0.1", () => {
      if (!slowly) socket.write(bytes);
    });
    socket.on("data", (chunk) => {
      text += chunk.toString("latin1");
    });
    socket.on("error", () => {});
    socket.on("close", () => resolve({ text, afterMs: performance.now() - startedMs }));
    if (slowly) {
      let at = 0;
      const timer = setInterval(() => {
        if (socket.destroyed || at >= bytes.length) clearInterval(timer);
        else socket.write(bytes.slice(at, ++at));
      }, 50);
    }
  });
}

describe("one port", () => {
  it("serves http and https, each as itself", async () => {
    const { port } = await start();
    expect(await send("http", port)).toBe("http 0 127.0.0.1");
    expect(await send("https", port)).toBe("https 0 127.0.0.1");
  });

  it("loses no byte of large bodies, over many connections at once", async () => {
    const { port } = await start();
    const body = Buffer.alloc(3_000_000, 7);
    const answers = await Promise.all(
      Array.from({ length: 20 }, (_, n) => send(n % 2 ? "https" : "http", port, body, false)),
    );
    expect(answers).toEqual(
      Array.from({ length: 20 }, (_, n) => `${n % 2 ? "https" : "http"} 3000000 127.0.0.1`),
    );
  });

  it("carries sockets over both, one server for both kinds", async () => {
    const { one, port } = await start();
    const sockets = new SocketServer({ transports: ["websocket", "polling"], serveClient: false });
    sockets.attach(one.http);
    if (one.https) sockets.attach(one.https);
    sockets.on("connection", (socket) => {
      socket.on("ask", (value: number, answer: (value: number) => void) => answer(value + 1));
    });
    for (const scheme of ["http", "https"]) {
      for (const transport of ["websocket", "polling"]) {
        const client = io(`${scheme}://127.0.0.1:${port}`, {
          transports: [transport],
          ca: root.cert,
          reconnection: false,
          forceNew: true,
        } as Parameters<typeof io>[1]);
        const answer: unknown = await client.timeout(5000).emitWithAck("ask", 41);
        expect([scheme, transport, answer]).toEqual([scheme, transport, 42]);
        client.disconnect();
      }
    }
    sockets.engine.close();
  });

  it("closes a TLS connection at once when it has no certificate", async () => {
    const one = new OnePort({ onRequest: echo });
    open.push(one);
    const port = await one.listen(0, "127.0.0.1");
    expect(await send("http", port)).toBe("http 0 127.0.0.1");
    await expect(send("https", port)).rejects.toThrow();
  });

  it("survives clients that send nonsense, hang up half way or reset", async () => {
    const { port } = await start();
    expect((await raw(port, "nonsense\r\n\r\n")).text).toContain("400 Bad Request");
    // A TLS record header with garbage behind it: answered with an alert (0x15), or just closed.
    const { text } = await raw(port, Buffer.from([0x16, 3, 1, 0, 5, 1, 2, 3, 4, 5]));
    expect(["", "\u0015"]).toContain(text.slice(0, 1));
    for (const first of [0x16, 0x47, 0x00, 0xff]) {
      await new Promise<void>((resolve) => {
        const socket = connectNet(port, "127.0.0.1", () => {
          socket.write(Buffer.from([first]), () => {
            socket.resetAndDestroy();
            resolve();
          });
        });
        socket.on("error", () => {});
      });
    }
    await new Promise<void>((resolve) => {
      const socket: TLSSocket = connectTls(
        { port, host: "127.0.0.1", ca: root.cert, servername: "localhost" },
        () => {
          socket.write("GET / HT", () => {
            socket.destroy();
            resolve();
          });
        },
      );
    });
    expect(await send("http", port)).toBe("http 0 127.0.0.1");
    expect(await send("https", port)).toBe("https 0 127.0.0.1");
  });

  it("drops a connection that says nothing", async () => {
    const { port } = await start({ firstByteMs: 300 });
    const { text, afterMs } = await raw(port, "");
    expect(text).toBe("");
    expect(afterMs).toBeGreaterThan(250);
  });

  it("drops a connection whose request or handshake never gets done", async () => {
    const { port } = await start({ firstByteMs: 500, headersMs: 500 });
    // At this pace it would take eight minutes.
    const endless = `GET / HTTP/1.1\r\nHost: localhost\r\nX: ${"x".repeat(10_000)}`;
    const [http, https] = await Promise.all([
      raw(port, endless, true),
      raw(port, Buffer.from([0x16, 3, 1, 2, 0, 1, 0, 1, 0xfc, 3, 3]), true),
    ]);
    expect(http.text).toContain("408 Request Timeout");
    expect(https.text).toBe("");
  });

  it("refuses more connections than it was told to hold, and holds again when one goes", async () => {
    const { port } = await start({ maxConnections: 2 });
    const held = [connectNet(port, "127.0.0.1"), connectNet(port, "127.0.0.1")];
    await Promise.all(held.map((socket) => new Promise((resolve) => socket.once("connect", resolve))));
    await new Promise((resolve) => setTimeout(resolve, 100));
    await expect(send("http", port, "", false)).rejects.toThrow();
    for (const socket of held) socket.destroy();
    await new Promise((resolve) => setTimeout(resolve, 100));
    expect(await send("http", port, "", false)).toBe("http 0 127.0.0.1");
  });

  describe("when somebody holds very many connections open", () => {
    /** `stay`: how many of them are to be left. */
    const hold = async (port: number, count: number, localAddress: string, stay = count) => {
      const all = Array.from({ length: count }, () => {
        const socket = connectNet({ port, host: "127.0.0.1", localAddress });
        socket.on("error", () => undefined);
        return socket;
      });
      await Promise.all(all.map((socket) => new Promise((resolve) => socket.once("connect", resolve))));
      const left = () => all.filter((socket) => !socket.destroyed);
      await until("those beyond the share are gone", () => left().length <= stay);
      await pause(200);
      const held = left();
      return { held, letGo: () => all.map((socket) => socket.destroy()) };
    };
    const pause = (ms: number) => new Promise((resolve) => setTimeout(resolve, ms));
    const ask = (port: number, localAddress: string) =>
      new Promise<string>((resolve, reject) => {
        httpRequest({ host: "127.0.0.1", port, localAddress, agent: false }, (response) => {
          response.on("data", (chunk) => resolve(String(chunk)));
        })
          .on("error", reject)
          .end();
      });

    it("an address gets its share and no more, and others find room", async () => {
      const { port } = await start({ maxConnections: 40, maxPerAddress: 10 });
      const { held, letGo } = await hold(port, 60, "127.0.0.2", 10);
      expect(held).toHaveLength(10);
      expect(await ask(port, "127.0.0.3")).toBe("http 0 127.0.0.3");
      expect(await ask(port, "127.0.0.1")).toBe("http 0 127.0.0.1");
      await expect(ask(port, "127.0.0.2")).rejects.toThrow();
      letGo();
      await pause(200);
      expect(await ask(port, "127.0.0.2")).toBe("http 0 127.0.0.2");
    });

    it("quiet ones give way when all are taken, those in use never", async () => {
      const { port } = await start({ maxConnections: 20, maxPerAddress: 20, quietMs: 50 });
      const inUse = await hold(port, 2, "127.0.0.4");
      const busy = setInterval(() => {
        for (const socket of inUse.held) socket.write("GET / HTTP/1.1\r\nHost: x\r\n\r\n");
      }, 10);
      const crowd = await hold(port, 18, "127.0.0.2");
      expect(crowd.held).toHaveLength(18);
      await pause(300);
      for (let n = 0; n < 5; n++) expect(await ask(port, "127.0.0.3")).toBe("http 0 127.0.0.3");
      clearInterval(busy);
      expect(inUse.held.every((socket) => !socket.destroyed)).toBe(true);
      expect(crowd.held.some((socket) => socket.destroyed)).toBe(true);
      for (const { letGo } of [inUse, crowd]) letGo();
    });

    it("the hub's own machine has a few places of its own", async () => {
      const { port } = await start({ maxConnections: 20, maxPerAddress: 20, quietMs: 60_000 });
      const { letGo } = await hold(port, 20, "127.0.0.2");
      await expect(ask(port, "127.0.0.3")).rejects.toThrow();
      expect(await ask(port, "127.0.0.1")).toBe("http 0 127.0.0.1");
      letGo();
    });
  });

  it("takes a new certificate without a restart", async () => {
    const { one, port } = await start();
    const otherRoot = await makeAuthority("other", Date.now());
    one.setCertificate(await makeLeaf(otherRoot, [], Date.now()));
    await expect(send("https", port, "", false)).rejects.toThrow();
    root = otherRoot;
    expect(await send("https", port, "", false)).toBe("https 0 127.0.0.1");
  });

  it("ends within its grace although connections are open", async () => {
    const { one, port } = await start({ onRequest: () => {} });
    const waiting = send("http", port, "", false).catch((error: Error) => error);
    const idle = connectNet(port, "127.0.0.1");
    idle.on("error", () => {});
    await new Promise((resolve) => setTimeout(resolve, 100));
    // Neither of them would ever end by itself.
    await one.close(200);
    expect(await waiting).toBeInstanceOf(Error);
  });

  it("says in words why it cannot listen", async () => {
    const taken = createServer();
    await new Promise<void>((resolve) => taken.listen(0, "127.0.0.1", resolve));
    const { port } = taken.address() as AddressInfo;
    const one = new OnePort({ onRequest: echo });
    const busy = await one.listen(port, "127.0.0.1").catch((error: unknown) => error);
    expect(busy).toBeInstanceOf(PortError);
    expect(busy).toMatchObject({ code: "taken", message: expect.stringContaining(`Port ${port} is taken`) });
    taken.close();
    // RFC 5737: an address that no machine has.
    const elsewhere = await one.listen(0, "203.0.113.77").catch((error: unknown) => error);
    expect(elsewhere).toMatchObject({ code: "no-such-host" });
    // It can still be used after failing.
    open.push(one);
    expect(await one.listen(0, "127.0.0.1")).toBeGreaterThan(0);
  });
});
