/**
 * The hub's tiers over real connections on loopback: one port for both schemes, the certificate
 * that phones install, who may read what from elsewhere, and a new leaf while the hub runs.
 */
import { createHash, X509Certificate } from "node:crypto";
import { mkdtempSync, rmSync, statSync } from "node:fs";
import { get as getHttp, type IncomingHttpHeaders } from "node:http";
import { get as getHttps } from "node:https";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { connect } from "node:tls";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { connectSources } from "../../../hub/http/app.ts";
import { CertificateKeeper } from "../../../hub/network/certificate-keeper.ts";
import { makeAuthority, makeLeaf } from "../../../hub/network/certificates.ts";
import { OnePort } from "../../../hub/network/one-port.ts";
import type { HubOptions } from "../../../hub/options.ts";
import { type RunningHub, runHub } from "../../../hub/run-hub.ts";

const DAY_MS = 86_400_000;

interface Answer {
  status: number;
  headers: IncomingHttpHeaders;
  body: Buffer;
}

/** With `ca` by https, where the certificate must hold; else by http. */
function ask(url: string, options: { ca?: string; headers?: Record<string, string> } = {}): Promise<Answer> {
  return new Promise((resolve, reject) => {
    const get = url.startsWith("https:") ? getHttps : getHttp;
    get(url, { ...options, agent: false }, (response) => {
      const chunks: Buffer[] = [];
      response.on("data", (chunk: Buffer) => chunks.push(chunk));
      response.on("end", () =>
        resolve({
          status: response.statusCode ?? 0,
          headers: response.headers,
          body: Buffer.concat(chunks),
        }),
      );
    }).on("error", reject);
  });
}

const json = ({ body }: Answer): any => JSON.parse(body.toString());

async function start(dataDir: string, more: Partial<HubOptions> = {}): Promise<RunningHub> {
  return await runHub(
    { port: 0, host: "127.0.0.1", dataDir, leadPin: "271828", demo: false, tls: undefined, ...more },
    {
      pagesDir: "/nonexistent",
      version: "test",
      onRestore: () => undefined,
      onError: (error) => {
        throw error;
      },
    },
  );
}

describe("a hub without a certificate of the group's own", () => {
  let folder: string;
  let running: RunningHub;
  let pem: string;
  let root: Answer;
  let plain: string;
  let secure: string;

  beforeAll(async () => {
    folder = mkdtempSync(join(tmpdir(), "noonfall-trust-"));
    running = await start(folder);
    plain = `http://127.0.0.1:${running.port}`;
    secure = `https://127.0.0.1:${running.port}`;
    root = await ask(`${plain}/trust/noonfall-root.crt`);
    pem = new X509Certificate(root.body).toString();
  });
  afterAll(async () => {
    await running.close();
    rmSync(folder, { recursive: true, force: true });
  });

  it("answers by http and, for those who trust its authority, by https on the same port", async () => {
    expect(json(await ask(`${plain}/api/health`)).status).toBe("ok");
    expect(json(await ask(`${secure}/api/health`, { ca: pem })).status).toBe("ok");
    await expect(ask(`${secure}/api/health`)).rejects.toThrow(/certificate/);
  });

  it("tells how it is reached, and names the authority by its fingerprint", async () => {
    const reach = json(await ask(`${plain}/api/reach`));
    expect(reach).toMatchObject({ origins: [plain], secureOrigins: [secure], tier: "local authority" });
    expect(reach.names).toEqual(expect.arrayContaining(["127.0.0.1", "localhost"]));
    const hash = createHash("sha256").update(root.body).digest("hex").toUpperCase();
    expect(reach.authorityFingerprint.replaceAll(":", "")).toBe(hash);
  });

  it("gives the authority's certificate in DER, with the type that phones install", () => {
    expect(root.status).toBe(200);
    // The type registered by common practice, no source; DER begins with a SEQUENCE (X.690, 8.9).
    expect(root.headers["content-type"]).toBe("application/x-x509-ca-cert");
    expect(root.body[0]).toBe(0x30);
    expect(new X509Certificate(root.body).ca).toBe(true);
  });

  it("keeps the keys readable by their owner only", () => {
    for (const name of ["authority.key", "hub.key"]) {
      expect(statSync(join(folder, "certificates", name)).mode & 0o777).toBe(0o600);
    }
  });

  // RFC 6797, 8.1: a browser that saw the header once refuses plain http from then on.
  it("never asks browsers to insist on https", async () => {
    for (const path of ["/api/health", "/api/reach", "/trust/noonfall-root.crt", "/nothing"]) {
      const { headers } = await ask(`${secure}${path}`, { ca: pem });
      expect(headers["strict-transport-security"], path).toBeUndefined();
    }
  });

  // Fetch standard, CORS protocol: without the header the page may not read the answer.
  it("lets pages of its own addresses read its health from elsewhere, and nothing else", async () => {
    const from = (origin: string, path: string) =>
      ask(`${secure}${path}`, { ca: pem, headers: { Origin: origin } });
    const allowed = "access-control-allow-origin";
    expect((await from(plain, "/api/health")).headers[allowed]).toBe(plain);
    expect((await from("https://evil.example", "/api/health")).headers[allowed]).toBeUndefined();
    for (const path of ["/api/reach", "/api/board", "/api/plan"]) {
      expect((await from(plain, path)).headers[allowed], path).toBeUndefined();
    }
  });

  it("lets only the trust page look at its https addresses", async () => {
    const policy = async (path: string) =>
      String((await ask(`${plain}${path}`)).headers["content-security-policy"]);
    expect(await policy("/trust")).toContain(` ${secure}`);
    expect(await policy("/rig")).not.toContain(secure);
  });

  // CSP level 3, host-source: a host is letters, digits, "-", "." and "*"; an IPv6 address is none.
  it("names the hub's own addresses alone, and none that a policy cannot name", () => {
    const origins = ["https://192.168.1.4:8620", "https://[fd00::4]:8620", "https://[fd00::5]:8620"];
    const self = "'self' ws://192.168.1.4:8620 wss://192.168.1.4:8620";
    const of = (path: string) => connectSources(path, "192.168.1.4:8620", origins);
    expect(of("/trust?from=board")).toBe(`${self} https://192.168.1.4:8620`);
    expect(of("/trusted")).toBe(self);
    expect(of("/rig")).toBe(self);
    expect(connectSources("/rig", "[fd00::1]:8620", origins)).toBe("'self'");
  });

  it("is the same authority after a restart", async () => {
    await running.close();
    running = await start(folder, { port: running.port });
    expect(json(await ask(`${secure}/api/health`, { ca: pem })).status).toBe("ok");
  });
});

describe("a hub with a certificate of the group's own", () => {
  it("serves it beside plain http and has no authority to install", async () => {
    const folder = mkdtempSync(join(tmpdir(), "noonfall-trust-"));
    const group = await makeAuthority("group", Date.now());
    const running = await start(folder, { tls: await makeLeaf(group, ["hub.local"], Date.now()) });
    try {
      const plain = `http://127.0.0.1:${running.port}`;
      const reach = json(await ask(`${plain}/api/reach`));
      expect(reach).toMatchObject({ origins: [plain], tier: "own certificate", authorityFingerprint: null });
      expect(reach.secureOrigins[0]).toMatch(/^https:\/\/hub\.local:/);
      expect((await ask(`${plain}/trust/noonfall-root.crt`)).status).toBe(404);
      const secure = await ask(`https://127.0.0.1:${running.port}/api/health`, { ca: group.cert });
      expect(json(secure).status).toBe("ok");
    } finally {
      await running.close();
      rmSync(folder, { recursive: true, force: true });
    }
  });

  it("does not start with a key of another certificate, and leaves nothing open", async () => {
    const folder = mkdtempSync(join(tmpdir(), "noonfall-trust-"));
    const group = await makeAuthority("group", Date.now());
    const { cert } = await makeLeaf(group, ["hub.local"], Date.now());
    await expect(start(folder, { tls: { cert, key: group.key } })).rejects.toMatchObject({ field: "--key" });
    await (await start(folder)).close();
    rmSync(folder, { recursive: true, force: true });
  });
});

describe("a certificate that no longer fits", () => {
  const served = (port: number, ca: string): Promise<X509Certificate> =>
    new Promise((resolve, reject) => {
      const socket = connect({ port, host: "127.0.0.1", ca }, () => {
        resolve(new X509Certificate(socket.getPeerCertificate().raw));
        socket.destroy();
      }).on("error", reject);
    });

  it("is replaced while the hub runs: by new addresses, and before its end, under the same authority", async () => {
    const folder = mkdtempSync(join(tmpdir(), "noonfall-trust-"));
    // A year and a day ago: that leaf is still good today, but for less than 30 days more.
    let now = Date.now() - 366 * DAY_MS;
    let hosts = ["10.1.2.3"];
    const keeper = await CertificateKeeper.start({
      folder,
      label: "test",
      nowUtcMs: () => now,
      hosts: () => hosts,
    });
    const onePort = new OnePort({ onRequest: () => undefined, tls: keeper.current?.pair });
    const port = await onePort.listen(0, "127.0.0.1");
    const ca = keeper.current?.authority?.pem ?? "";
    try {
      keeper.watch(onePort, 20);
      const first = await served(port, ca);
      expect(first.subjectAltName).toContain("10.1.2.3");
      hosts = ["192.168.9.4"];
      await expect.poll(async () => (await served(port, ca)).subjectAltName).toContain("192.168.9.4");
      const second = await served(port, ca);
      // 397 days at most (CA/Browser Forum baseline requirements, 6.3.2).
      expect(Date.parse(second.validTo) - Date.parse(second.validFrom)).toBeLessThanOrEqual(397 * DAY_MS);
      now = Date.now();
      expect(Date.parse(second.validTo) - now).toBeLessThan(30 * DAY_MS);
      await expect.poll(async () => (await served(port, ca)).serialNumber).not.toBe(second.serialNumber);
      expect(keeper.current?.authority?.pem).toBe(ca);
      expect(keeper.current?.notAfterUtcMs).toBeGreaterThan(now + 300 * DAY_MS);
    } finally {
      keeper.stop();
      await onePort.close();
      rmSync(folder, { recursive: true, force: true });
    }
  });
});
