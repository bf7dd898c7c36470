/** RFC 9110, 7.8: who offers another protocol is answered in the one that is spoken already. */
import { createServer as createHttpsServer, type Server } from "node:https";
import { type AddressInfo, connect as connectNet, type Socket } from "node:net";
import { connect as connectTls } from "node:tls";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { makeAuthority, makeLeaf } from "../../../hub/network/certificates.ts";
import { answerOtherUpgrades } from "../../../hub/network/plain-upgrade.ts";
import { startTestHub, type TestHub } from "../../support/test-hub.ts";

/** Writes bytes; resolves with what has come back once so many answers have, or the end. */
function raw(socket: Socket, bytes: string, answers: number): Promise<string> {
  return new Promise((resolve) => {
    let text = "";
    socket.write(bytes);
    socket.on("data", (chunk) => {
      text += chunk.toString("latin1");
      const bodies = text.match(/HTTP\/1\.1 \d+[\s\S]*?\r\n\r\n[\s\S]*?(?=HTTP\/1\.1|$)/g) ?? [];
      if (bodies.length === answers && /\r\n\r\n./s.test(bodies.at(-1) ?? "")) socket.destroy();
    });
    socket.on("error", () => undefined);
    socket.on("close", () => resolve(text));
    setTimeout(() => socket.destroy(), 5000).unref();
  });
}

describe("the hub", () => {
  let hub: TestHub;
  const to = () => connectNet(Number(new URL(hub.url).port), "127.0.0.1");
  const head = (first: string, ...more: string[]) =>
    `${[first, `Host: ${new URL(hub.url).host}`, ...more].join("\r\n")}\r\n\r\n`;
  // The offer as RFC 7540, 3.2 had it, with the settings of its example kind.
  const H2C = ["Connection: Upgrade, HTTP2-Settings", "Upgrade: h2c", "HTTP2-Settings: AAMAAABkAAQAAP__"];
  beforeAll(async () => {
    hub = await startTestHub();
  });
  afterAll(async () => {
    await hub.stop();
    expect(hub.errors).toEqual([]);
  });

  it.each([
    ["h2c", H2C],
    ["a socket elsewhere", ["Connection: Upgrade", "Upgrade: websocket", "Sec-WebSocket-Version: 13"]],
    ["TLS within", ["Connection: upgrade, keep-alive", "Upgrade: TLS/1.0, HTTP/1.1"]],
    ["something unknown", ["Connection: Upgrade", "Upgrade: dance/2"]],
  ])("answers plain HTTP to %s", async (_what, offer) => {
    const text = await raw(to(), head("GET /api/health HTTP/1.1", ...offer), 1);
    // One answer and no other; "101" may stand in the body's time.
    expect(text.match(/^HTTP\/.*$/gm)).toEqual(["HTTP/1.1 200 OK"]);
    expect(text).toContain('"status":"ok"');
    expect(text).not.toMatch(/switching/i);
  });

  it("reads the body that came with an offer, at once or later, and what follows on the connection", async () => {
    const body = JSON.stringify({ pin: "000000" });
    const post = head(
      "POST /api/lead/session HTTP/1.1",
      ...H2C,
      "Content-Type: application/json",
      `Content-Length: ${body.length}`,
    );
    const next = head("GET /api/health HTTP/1.1", ...H2C);
    const together = await raw(to(), post + body + next, 2);
    expect(together).toMatch(/^HTTP\/1\.1 401 [\s\S]*the PIN is wrong[\s\S]*HTTP\/1\.1 200 /);
    const socket = to();
    socket.write(post);
    await new Promise((resolve) => setTimeout(resolve, 100));
    expect(await raw(socket, body, 1)).toMatch(/^HTTP\/1\.1 401 [\s\S]*the PIN is wrong/);
  });

  it("answers what only looks like ours", async () => {
    const polling = "/socket.io/?EIO=4&transport=polling";
    expect(await raw(to(), head(`GET ${polling} HTTP/1.1`, ...H2C), 1)).toMatch(/^HTTP\/1\.1 200 /);
    const nobody = await raw(to(), head("GET /nowhere HTTP/1.1", ...H2C), 1);
    expect(nobody).toMatch(/^HTTP\/1\.1 404 /);
  });

  it("still opens its own sockets, and those of foreign hosts not", async () => {
    const offer = [
      "Connection: Upgrade",
      "Upgrade: WebSocket",
      "Sec-WebSocket-Version: 13",
      "Sec-WebSocket-Key: dGhlIHNhbXBsZSBub25jZQ==",
    ];
    const path = "/socket.io/?EIO=4&transport=websocket";
    // RFC 6455, 1.3: this key has this answer.
    const opened = await raw(to(), head(`GET ${path} HTTP/1.1`, ...offer), 1);
    expect(opened).toContain("Sec-WebSocket-Accept: s3pPLMBiTxaQ9kYGzzhZRbK+xOo=");
    const foreign = `GET ${path} HTTP/1.1\r\nHost: evil.example\r\n${offer.join("\r\n")}\r\n\r\n`;
    expect(await raw(to(), foreign, 1)).not.toContain("101");
  });
});

describe("over TLS", () => {
  let server: Server;
  beforeAll(async () => {
    const root = await makeAuthority("test", Date.now());
    const pair = await makeLeaf(root, [], Date.now());
    server = createHttpsServer(pair, (request, response) => {
      let text = "";
      request.on("data", (chunk) => {
        text += chunk;
      });
      request.on("end", () => response.end(`${request.method} ${text} ${request.headers.upgrade}`));
    });
    server.on("upgrade", () => undefined);
    answerOtherUpgrades(server, () => false);
    await new Promise<void>((resolve) => server.listen(0, "127.0.0.1", resolve));
  });
  afterAll(() => {
    server.closeAllConnections();
    server.close();
  });

  it("it is the same", async () => {
    const { port } = server.address() as AddressInfo;
    const socket = connectTls({ port, host: "127.0.0.1", rejectUnauthorized: false });
    const sent =
      "POST / HTTP/1.1\r\nHost: x\r\nConnection: Upgrade\r\nUpgrade: h2c\r\nContent-Length: 2\r\n\r\nhi";
    expect(await raw(socket, sent, 1)).toContain("POST hi undefined");
  });
});
