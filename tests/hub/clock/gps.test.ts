import type { AddressInfo } from "node:net";
import { createServer, type Server, type Socket } from "node:net";
import { afterEach, describe, expect, test } from "vitest";
import type { SourceReport } from "../../../hub/clock/ports.ts";
import { machinePorts } from "../../../hub/clock/ports.ts";
import { GpsDaemon } from "../../../hub/clock/sources/gps-daemon.ts";
import { GpsEstimator } from "../../../hub/clock/sources/gps-estimate.ts";
import { readGpsLine } from "../../../hub/clock/sources/gps-json.ts";
import { monoMs } from "../../../shared/time/instants.ts";
import { until } from "../../support/until.ts";

// The daemon's published JSON (gpsd_json(5)); lines shaped as that page gives them, from memory.
const VERSION = '{"class":"VERSION","release":"3.25","rev":"3.25","proto_major":3,"proto_minor":15}';
const tpv = (time: string, more = "") =>
  `{"class":"TPV","device":"/dev/ttyUSB0","mode":3,"time":"${time}","ept":0.005,"lat":25.68,"lon":32.64,"altHAE":92.5,"eph":8.2${more}}`;
const pps = (real: number, clock: number) => {
  const part = (v: number) => [Math.floor(v / 1000), Math.round((v - 1000 * Math.floor(v / 1000)) * 1e6)];
  const [rs, rn] = part(real);
  const [cs, cn] = part(clock);
  return `{"class":"PPS","device":"/dev/pps0","real_sec":${rs},"real_nsec":${rn},"clock_sec":${cs},"clock_nsec":${cn},"precision":-20}`;
};

describe("reading the daemon's lines", () => {
  test("a fix gives time and place", () => {
    expect(readGpsLine(tpv("2027-08-02T10:02:07.000Z"))).toEqual({
      kind: "fix",
      utcMs: Date.UTC(2027, 7, 2, 10, 2, 7),
      errorMs: 5,
      site: { latDeg: 25.68, lonDeg: 32.64, heightM: 92.5, errorM: 8.2 },
    });
  });

  test("without a fix there is no time, even if the receiver sends one", () => {
    expect(readGpsLine('{"class":"TPV","mode":1,"time":"1999-08-22T00:00:00.000Z"}')).toEqual({
      kind: "noFix",
    });
    expect(readGpsLine('{"class":"TPV","mode":3}')).toEqual({ kind: "noFix" });
  });

  test("a pulse gives the system clock's offset with its nanoseconds", () => {
    const m = readGpsLine(pps(1_817_200_000_000, 1_817_200_000_123.456));
    expect(m).toMatchObject({ kind: "pulse" });
    expect(m?.kind === "pulse" && m.offsetMs).toBeCloseTo(-123.456, 3);
    // precision −20: 2^-20 s
    expect(m?.kind === "pulse" && m.boundMs).toBeCloseTo(0.00095, 5);
  });

  test("places off the globe are dropped, other classes passed over, rubbish refused", () => {
    const off = readGpsLine('{"class":"TPV","mode":3,"time":"2027-08-02T10:02:07Z","lat":99,"lon":0}');
    expect(off?.kind === "fix" && off.site).toBeNull();
    expect(readGpsLine('{"class":"SKY","satellites":[]}')).toEqual({ kind: "other" });
    expect(readGpsLine('{"class":"PPS","real_sec":1}')).toEqual({ kind: "other" });
    for (const text of ["", "{", "null", "7", "[]", '{"mode":3}']) expect(readGpsLine(text)).toBeNull();
  });
});

describe("UTC from its messages", () => {
  test("messages that arrive 80 to 700 ms late leave UTC within half a second of the middle", () => {
    const g = new GpsEstimator();
    [300, 80, 700, 420].forEach((late, i) => {
      g.addMessage(1_000_000 - late, monoMs(i * 1000));
    });
    const e = g.estimate(monoMs(4000));
    expect(e?.by).toBe("message");
    expect(Math.abs((e?.offsetMs ?? 0) - 1_000_000)).toBeLessThanOrEqual(e?.boundMs ?? 0);
    expect(e?.boundMs).toBe(501);
  });

  test("three pulses are enough, one wild one among ten does not move the median", () => {
    const g = new GpsEstimator();
    for (let i = 0; i < 10; i++) g.addPulse(i === 4 ? 900 : 500 + i * 0.01, 0.001, monoMs(i * 1000));
    const e = g.estimate(monoMs(10_000));
    expect(e?.by).toBe("pulse");
    expect(e?.offsetMs).toBeCloseTo(500.05, 1);
  });

  test("too little, or too old, is nothing", () => {
    const g = new GpsEstimator();
    g.addMessage(5, monoMs(0));
    g.addMessage(5, monoMs(1000));
    expect(g.estimate(monoMs(1500))).toBeNull();
    g.addMessage(5, monoMs(2000));
    expect(g.estimate(monoMs(2500))).not.toBeNull();
    expect(g.estimate(monoMs(90_000))).toBeNull();
  });
});

describe("a daemon on a socket", () => {
  let server: Server | null = null;
  let gps: GpsDaemon | null = null;
  const sockets = new Set<Socket>();
  afterEach(async () => {
    gps?.stop();
    for (const s of sockets) s.destroy();
    await new Promise<void>((done) => (server ? server.close(() => done()) : done()));
    server = null;
  });
  const listen = (port: number, onWatch: (s: Socket) => void) =>
    new Promise<number>((ready) => {
      server = createServer((s) => {
        sockets.add(s);
        s.on("error", () => {});
        s.write(`${VERSION}\n`);
        s.once("data", (d) => {
          expect(String(d)).toMatch(/^\?WATCH=\{.*"json":true.*\};/);
          onWatch(s);
        });
      }).listen(port, "127.0.0.1", () => {
        const address = server?.address() as AddressInfo | null | undefined;
        ready(address?.port ?? 0);
      });
    });
  const reported = (reports: SourceReport[], ok: (r: SourceReport) => boolean) =>
    until("it is reported", () => reports.find(ok), { told: () => JSON.stringify(reports) });

  test("fixes first, then pulses: the offset of the system clock is found, and the place offered", async () => {
    const ports = machinePorts();
    const ahead = 1234; // GPS says the system clock is this much slow, ms
    const port = await listen(0, (s) => {
      for (let i = 0; i < 4; i++) s.write(`${tpv(new Date(Date.now() + ahead - 100).toISOString())}\n`);
      setTimeout(() => {
        // split in the middle of a line, as sockets do
        const text = [0, 1, 2, 3].map(() => `${pps(Date.now() + ahead, Date.now())}\n`).join("");
        s.write(text.slice(0, 77));
        setTimeout(() => s.write(text.slice(77)), 20);
      }, 100);
    });
    const reports: SourceReport[] = [];
    gps = new GpsDaemon({ ports, port, retryMs: [50, 200] });
    gps.start((r) => reports.push(r));
    const coarse = await reported(reports, (r) => r.estimate !== undefined);
    expect(coarse.site).toMatchObject({ latDeg: 25.68, lonDeg: 32.64, errorM: 8.2 });
    expect(coarse.estimate?.boundMs).toBeGreaterThan(400);
    const fine = await reported(reports, (r) => r.detail === "pulse per second");
    const utc = ports.clock.mono() + (fine.estimate?.offsetMs ?? 0);
    expect(Math.abs(utc - Date.now() - ahead)).toBeLessThan(20);
    expect(fine.estimate?.boundMs).toBeLessThan(20);
  });

  test("it says that it has no fix, that nobody is there, and comes back when the daemon does", async () => {
    const reports: SourceReport[] = [];
    const port = await listen(0, (s) => s.write('{"class":"TPV","mode":1}\n'));
    gps = new GpsDaemon({ ports: machinePorts(), port, retryMs: [50, 100] });
    gps.start((r) => reports.push(r));
    await reported(reports, (r) => r.state === "noFix");
    for (const s of sockets) s.destroy();
    await new Promise<void>((done) => server?.close(() => done()));
    await reported(reports, (r) => r.state === "unreachable");
    reports.length = 0;
    await listen(port, (s) => {
      for (let i = 0; i < 3; i++) s.write(`${tpv(new Date().toISOString())}\n`);
    });
    await reported(reports, (r) => r.state === "good");
  });

  test("rubbish and a line without end do not bring it down", async () => {
    let connections = 0;
    const port = await listen(0, (s) => {
      connections++;
      s.write("hello\n{}\n\u0000\n");
      s.write("x".repeat(200_000));
    });
    const reports: SourceReport[] = [];
    gps = new GpsDaemon({ ports: machinePorts(), port, retryMs: [30, 30] });
    gps.start((r) => reports.push(r));
    await reported(reports, (r) => r.state === "unreachable" && r.detail.includes("without end"));
    for (let i = 0; i < 100 && connections < 2; i++) await new Promise((r) => setTimeout(r, 20));
    expect(connections).toBeGreaterThanOrEqual(2);
  });
});
