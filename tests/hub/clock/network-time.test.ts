import { afterEach, describe, expect, test } from "vitest";
import { machinePorts, type SourceReport } from "../../../hub/clock/ports.ts";
import { NetworkTime, type NetworkTimeOptions } from "../../../hub/clock/sources/network-time.ts";
import { ntpEstimate, ntpRequest, readNtpAnswer } from "../../../hub/clock/sources/ntp-packet.ts";
import { monoMs } from "../../../shared/time/instants.ts";
import { until } from "../../support/until.ts";
import { chronydPath, chronyServer, type NtpServer, smallNtpServer } from "./ntp-server.ts";

const COOKIE = new Uint8Array([1, 2, 3, 4, 5, 6, 7, 8]);
const NEAR = Date.UTC(2027, 7, 2);

/** An answer of a stratum 2 server whose t2 and t3 are these NTP seconds. */
function answer(seconds: number, change: (v: DataView, m: Uint8Array) => void = () => {}): Uint8Array {
  const m = new Uint8Array(48);
  const v = new DataView(m.buffer);
  m[0] = 0x24;
  m[1] = 2;
  v.setInt8(3, -20);
  v.setUint32(4, 0x00010000 / 100); // 10 ms
  v.setUint32(8, 0x00010000 / 50); // 20 ms
  m.set(COOKIE, 24);
  v.setUint32(32, seconds);
  v.setUint32(40, seconds);
  v.setUint32(44, 0x80000000); // half a second
  change(v, m);
  return m;
}

describe("packets", () => {
  // RFC 5905 figure 4: 1 January 1970 is 2 208 988 800 s of NTP era 0
  test("the first second of 1970 is NTP second 2 208 988 800", () => {
    const a = readNtpAnswer(answer(2_208_988_800), COOKIE, 0);
    expect(a).toMatchObject({ receivedMs: 0, sentMs: 500, stratum: 2 });
  });

  // RFC 5905 figure 4: era 1 begins on 7 February 2036 at 06:28:16
  test("seconds that have run over belong to the era nearest to now", () => {
    const a = readNtpAnswer(answer(1), COOKIE, Date.UTC(2036, 1, 7, 12));
    expect(typeof a === "object" && new Date(a.receivedMs).toISOString()).toBe("2036-02-07T06:28:17.000Z");
  });

  // RFC 5905 section 8 and 11.2.1: root distance = delay/2 + root delay/2 + root dispersion + precision
  test("the bound of an exchange is its root distance", () => {
    const a = readNtpAnswer(answer(2_208_988_800 + 1_817_200_000), COOKIE, NEAR);
    if (typeof a === "string") throw new Error(a);
    const e = ntpEstimate(a, monoMs(100), monoMs(640)); // 540 ms there and back, 500 of it at the server
    expect(e.delayMs).toBe(40);
    expect(e.boundMs).toBeCloseTo(20 + 5 + 20, 0);
    expect(e.offsetMs).toBe(1_817_200_000_000 - 120);
  });

  test("a request is of version 4 and mode 3 and carries nothing but the cookie", () => {
    const m = ntpRequest(COOKIE);
    expect(m[0]).toBe(0x23);
    expect([...m.slice(40)]).toEqual([...COOKIE]);
    expect(m.slice(1, 40).every((b) => b === 0)).toBe(true);
  });

  // RFC 4330 section 5 (client checks), RFC 5905 section 7.4 (kiss codes)
  test("answers that must not be used are refused, each with its reason", () => {
    const refused = (change: (v: DataView, m: Uint8Array) => void) =>
      readNtpAnswer(answer(3e9, change), COOKIE, NEAR);
    const kiss = (code: string) => (_: DataView, m: Uint8Array) => {
      m[1] = 0;
      m.set(new TextEncoder().encode(code), 12);
    };
    expect(readNtpAnswer(new Uint8Array(40), COOKIE, NEAR)).toBe("notAnswer");
    expect(refused((_, m) => m.set([0x23]))).toBe("notAnswer");
    expect(refused((_, m) => m.set([9], 24))).toBe("otherOrigin");
    expect(refused((_, m) => m.set([0xe4]))).toBe("unsynchronised");
    expect(refused((_, m) => m.set([16], 1))).toBe("unsynchronised");
    expect(refused(kiss("RATE"))).toBe("kissRate");
    expect(refused(kiss("DENY"))).toBe("kissDeny");
    expect(refused(kiss("RSTR"))).toBe("kissDeny");
    expect(refused(kiss("STEP"))).toBe("kissOther");
    expect(refused((v) => v.setUint32(40, 2.9e9))).toBe("badTimes");
    expect(refused((v) => v.setUint32(8, 0x00030000))).toBe("tooFar");
  });
});

describe("a server on loopback", () => {
  const servers: NtpServer[] = [];
  const clients: NetworkTime[] = [];
  afterEach(async () => {
    for (const c of clients.splice(0)) c.stop();
    for (const s of servers.splice(0)) await s.stop();
  });
  const ports = machinePorts();
  const follow = (options: Partial<NetworkTimeOptions> & { port: number }) => {
    const reports: SourceReport[] = [];
    const client = new NetworkTime({
      ports,
      host: "127.0.0.1",
      spacingMs: 30,
      restMs: 100,
      timeoutMs: 300,
      ...options,
    });
    clients.push(client);
    client.start((r) => reports.push(r));
    return reports;
  };
  const reported = (reports: SourceReport[], ok: (r: SourceReport) => boolean) =>
    until("it is reported", () => reports.find(ok), { told: () => JSON.stringify(reports) });
  const truth = () => performance.timeOrigin + performance.now();
  const errorOf = (r: SourceReport, ahead: number) =>
    ports.clock.mono() + (r.estimate?.offsetMs ?? 0) - truth() - ahead;

  const kinds: [string, number, () => Promise<NtpServer>][] = [
    ["a small server a quarter of a second ahead", 250, () => smallNtpServer({ aheadMs: 250 })],
  ];
  // chronyd needs root even to serve; the small server above is asked on every machine
  if (chronydPath && process.getuid?.() === 0) kinds.push(["chronyd", 0, chronyServer]);
  for (const [name, ahead, make] of kinds)
    test(`${name}: the offset lies within the bound, and the bound is its root distance`, async () => {
      const server = await make();
      servers.push(server);
      const reports = follow({ port: server.port });
      // On a busy machine a first answer may be long on its way, and says so.
      const near = ({ state, estimate }: SourceReport) =>
        state === "good" && (estimate?.boundMs ?? Number.POSITIVE_INFINITY) < 60;
      const r = await reported(reports, near);
      expect(Math.abs(errorOf(r, ahead))).toBeLessThan(Math.max(5, r.estimate?.boundMs ?? 0));
      expect(r.detail).toMatch(/^stratum [23], delay/);
    });

  test("answers of strangers are passed over, the right one is waited for", async () => {
    const server = await smallNtpServer({
      shape: (m) => {
        const forged = Buffer.from(m);
        forged[24] = ((forged[24] ?? 0) + 1) & 255;
        forged.writeUInt32BE(1, 32);
        return [forged, m.subarray(0, 20), m];
      },
    });
    servers.push(server);
    const r = await reported(follow({ port: server.port }), (x) => x.state === "good");
    expect(Math.abs(errorOf(r, 0))).toBeLessThan(20);
  });

  test("a server that is not synchronised is said to be so, and gives no time", async () => {
    const server = await smallNtpServer({
      shape: (m) => {
        m[0] = 0xe4;
        return [m];
      },
    });
    servers.push(server);
    const reports = follow({ port: server.port });
    await reported(reports, (x) => x.state === "unsynchronised");
    expect(reports.every((r) => r.estimate === undefined)).toBe(true);
  });

  test("a server that refuses is asked no more", async () => {
    const server = await smallNtpServer({
      shape: (m) => {
        m[1] = 0;
        m.write("DENY", 12, "latin1");
        return [m];
      },
    });
    servers.push(server);
    await reported(follow({ port: server.port }), (x) => x.state === "refused");
    const asked = server.asked();
    await new Promise((r) => setTimeout(r, 600));
    expect(server.asked()).toBe(asked);
  });

  test("a silent server is unreachable, asked ever more seldom, and taken up again when it answers", async () => {
    let silent = true;
    const server = await smallNtpServer({ silent: () => silent });
    servers.push(server);
    const reports = follow({ port: server.port, timeoutMs: 60, restMs: 80 });
    await reported(reports, (x) => x.state === "unreachable");
    const once = server.asked();
    await new Promise((r) => setTimeout(r, 500));
    expect(server.asked() - once).toBeLessThan(5);
    silent = false;
    await reported(reports, (x) => x.state === "good");
  });

  test("a name that does not exist is unreachable, with the reason", async () => {
    const reports = follow({ port: 123, host: "no-such-host.invalid" });
    const r = await reported(reports, (x) => x.state === "unreachable");
    expect(r.detail).toBe("name not found");
  });
});
