/**
 * A small server of network time for tests, after RFC 5905 section 7.3 (header) and section 14
 * (a simple server answers in mode 4, carrying the client's transmit time back as origin), whose
 * time is the system clock plus `aheadMs`. `shape` may spoil an answer before it is sent. And, where
 * chrony is installed, the same with a real chronyd.
 */
import { type ChildProcess, spawn } from "node:child_process";
import { createSocket } from "node:dgram";
import { existsSync, mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";

export interface NtpServer {
  port: number;
  asked(): number;
  stop(): Promise<void>;
}

export function smallNtpServer(
  options: { aheadMs?: number; shape?: (m: Buffer) => Buffer[]; silent?: () => boolean } = {},
): Promise<NtpServer> {
  const { aheadMs = 0, shape = (m) => [m], silent = () => false } = options;
  let asked = 0;
  const socket = createSocket("udp4");
  const stamp = (m: Buffer, at: number) => {
    const ms = performance.timeOrigin + performance.now() + aheadMs;
    const s = Math.floor(ms / 1000);
    m.writeUInt32BE((s + 2_208_988_800) % 2 ** 32, at);
    m.writeUInt32BE(Math.floor((ms / 1000 - s) * 2 ** 32), at + 4);
  };
  socket.on("message", (request, from) => {
    asked++;
    if (silent()) return;
    const m = Buffer.alloc(48);
    m[0] = (0 << 6) | (4 << 3) | 4;
    m[1] = 2;
    m.writeInt8(-20, 3);
    m.writeUInt32BE(Math.round(0.01 * 65_536), 4); // root delay 10 ms
    m.writeUInt32BE(Math.round(0.002 * 65_536), 8); // root dispersion 2 ms
    request.copy(m, 24, 40, 48);
    stamp(m, 32);
    stamp(m, 40);
    for (const answer of shape(m)) socket.send(answer, from.port, from.address);
  });
  return new Promise((ready) =>
    socket.bind(0, "127.0.0.1", () =>
      ready({
        port: socket.address().port,
        asked: () => asked,
        stop: () => new Promise((done) => socket.close(() => done())),
      }),
    ),
  );
}

export const chronydPath = ["/usr/sbin/chronyd", "/usr/bin/chronyd", "/usr/local/sbin/chronyd"].find((p) =>
  existsSync(p),
);

/** A chronyd that serves the system's own time on a free port, steering nothing (-x). Needs root. */
export async function chronyServer(): Promise<NtpServer> {
  const probe = await smallNtpServer();
  const { port } = probe;
  await probe.stop();
  const folder = mkdtempSync(join(tmpdir(), "ntp-test-"));
  const conf = join(folder, "chrony.conf");
  writeFileSync(
    conf,
    [
      "local stratum 3",
      "allow 127.0.0.1",
      `port ${port}`,
      "cmdport 0",
      "bindcmdaddress /",
      `pidfile ${join(folder, "pid")}`,
    ].join("\n"),
  );
  const child: ChildProcess = spawn(chronydPath as string, ["-x", "-n", "-u", "root", "-f", conf], {
    stdio: "ignore",
  });
  return {
    port,
    asked: () => Number.NaN,
    stop: () =>
      new Promise((done) => {
        child.once("exit", () => {
          rmSync(folder, { recursive: true, force: true });
          done();
        });
        child.kill("SIGTERM");
      }),
  };
}
