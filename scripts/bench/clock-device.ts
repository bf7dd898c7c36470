/**
 * One device of the clock bench, in a namespace of its own, with a clock of its own rate. Follows
 * the hub three ways at once: our follower over Socket.IO with the watchdog, `timesync` over a
 * second, stock connection, and (asked over loopback) a chronyd client. Once a second it writes each
 * one's error against the truth. One JSON line per look on stdout.
 */
import { createSocket } from "node:dgram";
import { createRequire } from "node:module";
import { io } from "socket.io-client";
import { ClockFollower } from "../../shared/sync/follower.ts";
import { BURST_GAP_MS } from "../../shared/sync/pace.ts";
import { type ClockSample, sampleDelayMs } from "../../shared/sync/samples.ts";
import { LinkWatchdog } from "../../shared/sync/watchdog.ts";
import { monoMs, utcMs } from "../../shared/time/instants.ts";
import { HUB_EPOCH_MS, kernelMs, systemMinusKernelMs } from "./clock-truth.ts";

interface Setup {
  url: string;
  ppm: number;
  zeroMs: number;
  chrony: boolean;
  /** Also write every exchange (for fixtures). */
  exchanges: boolean;
}
const setup = JSON.parse(process.argv[2] ?? "{}") as Setup;
const write = (row: object) => process.stdout.write(`${JSON.stringify(row)}\n`);
const deviceAt = (kernel: number) => monoMs(setup.zeroMs + kernel * (1 + setup.ppm * 1e-6));
const device = () => deviceAt(kernelMs());

// ours
const follower = new ClockFollower();
const dog = new LinkWatchdog();
let leastDelay = Number.POSITIVE_INFINITY;
let socket = connect();
let generation = 0;
function connect() {
  const mine = ++generation;
  dog.noteOpening(device());
  const s = io(setup.url, { transports: ["websocket"], reconnection: false, forceNew: true });
  s.on("connect", () => {
    if (mine !== generation) return;
    dog.noteOpen(device());
    follower.requestBurst(device());
  });
  s.on("disconnect", () => mine === generation && dog.noteClosed(device()));
  return s;
}
function probe() {
  const mine = generation;
  const t1 = device();
  socket.volatile.emit("probe", { t1 }, (reply: { t2: number; t3: number; hubBoundMs: number }) => {
    const t4 = device();
    if (mine !== generation) return;
    dog.noteHeard(t4);
    const sample: ClockSample = {
      t1,
      t2: utcMs(reply.t2),
      t3: utcMs(reply.t3),
      t4,
      hubBoundMs: reply.hubBoundMs,
    };
    follower.addSample(sample);
    leastDelay = Math.min(leastDelay, sampleDelayMs(sample));
    heardKernel = kernelMs();
    if (waitingSince !== null) {
      write({ k: "heard", at: heardKernel });
      waitingSince = null;
    }
    if (setup.exchanges) write({ k: "x", s: [t1, reply.t2 - HUB_EPOCH_MS, reply.t3 - HUB_EPOCH_MS, t4] });
  });
}
let heardKernel = kernelMs();
let waitingSince: number | null = 0;
function burst() {
  const plan = follower.nextProbe(device(), { linkUp: socket.connected });
  const act = dog.decide(device());
  if (act === "reopen") {
    socket.disconnect();
    socket = connect();
  } else if (socket.connected && (act === "probe" || plan.atMono <= device())) {
    follower.noteProbe(device());
    dog.noteSent(device());
    for (let k = 0; k < plan.burst; k++) setTimeout(probe, k * BURST_GAP_MS);
  }
  if (waitingSince === null && kernelMs() - heardKernel > 10_000) waitingSince = kernelMs();
}
setInterval(burst, 50);

// timesync, five exchanges every five seconds (its own default is one hour)
const timesync = createRequire(import.meta.url)("timesync/dist/timesync.js");
const other = io(setup.url, { transports: ["websocket"], forceNew: true });
const ts = timesync.create({
  peers: ["hub"],
  interval: 5000,
  delay: 200,
  repeat: 5,
  timeout: 5000,
  now: () => device(),
});
ts.send = (_to: string, data: { id: unknown }) =>
  new Promise<void>((done) => {
    other.emit("timesync", data, (reply: { id: unknown; result: number }) => ts.receive("hub", reply));
    done();
  });
let synced = false;
ts.on("change", () => {
  synced = true;
});

// chronyd's own time, asked over loopback
const toKernel = -systemMinusKernelMs();
let chronyError: number | null = null;
const udp = createSocket("udp4");
let askedKernel = 0;
udp.on("message", (m) => {
  const t4 = kernelMs();
  const leap = (m[0] ?? 0) >> 6;
  if (m.length < 48 || leap === 3) return;
  const stamp = (at: number) =>
    (m.readUInt32BE(at) - 2_208_988_800) * 1000 + (m.readUInt32BE(at + 4) / 2 ** 32) * 1000;
  chronyError = (stamp(32) + toKernel - askedKernel + (stamp(40) + toKernel - t4)) / 2;
});
function askChrony() {
  const m = Buffer.alloc(48);
  m[0] = 0x23;
  m.writeUInt32BE(1, 40);
  askedKernel = kernelMs();
  udp.send(m, 123, "127.0.0.1");
}
udp.on("error", () => {});

const joined = kernelMs();
write({ k: "joined", at: joined });
setInterval(() => {
  const kernel = kernelMs();
  const reading = follower.read(deviceAt(kernel));
  const truth = HUB_EPOCH_MS + kernel;
  write({
    k: "look",
    t: kernel - joined,
    ours: reading ? reading.utcMs - truth : null,
    bound: reading?.boundMs ?? null,
    least: Number.isFinite(leastDelay) ? leastDelay : null,
    timesync: synced ? ts.now() - truth - (kernelMs() - kernel) : null,
    chrony: chronyError,
  });
  if (setup.chrony) askChrony();
}, 1000);
process.on("SIGTERM", () => process.exit(0));
process.on("disconnect", () => process.exit(0));
