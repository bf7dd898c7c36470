/**
 * A crowd's load, for the bench: thousands of simulated visitors behind nginx and two relays, as real
 * processes on loopback, through
 *   - ten minutes of practice across C2 and C3, with the lead's call: what each would be told is judged
 *     every second, and how much earlier than the hub it puts glasses on;
 *   - blocks in turn with the crowd, without it, and without it on a machine that is kept as busy: what
 *     reports take until a console has them, and the hub's processor time. Noise falls on all three;
 *   - C2 and C3 of the real run in moved time: there alone glasses do come off.
 * Processor time is the system's word on each process. The clocks of hub and relays are said to be known
 * to 5 ms, as chrony says in a network with a server; a relay that knows its own worse puts glasses on
 * earlier by as much.
 *
 * Neglected: TLS, radio and access points (loopback), and that a visitor's phone has a processor of its own.
 */
import { type ChildProcess, execFileSync, fork, spawn } from "node:child_process";
import { readFileSync } from "node:fs";
import { Agent, get } from "node:http";
import { fileURLToPath } from "node:url";
import type { BoardSnapshot } from "../../shared/protocol/messages.ts";
import { type MovedTime, movedTime } from "../browser/support/moved-time.ts";
import { type HubProcess, onMachine, startHubProcess } from "../browser/support/start-hub.ts";
import { brokerUrl, type CrowdField, type Part, startCrowdField } from "./crowd-field.ts";
import type { Rule, VisitorsAsked, VisitorsTold } from "./crowd-visitors.ts";
import { until } from "./until.ts";

export interface Figure {
  figure: string;
  value: number;
  unit: string;
}

export interface LoadPorts {
  visitors: number;
  /** Rounds of the three kinds of blocks. */
  rounds: number;
  /** Whoever reports, once asked to for a block; what each report took, ms. */
  reporter: (url: string, token: string) => { block: () => Promise<number[]>; end: () => void };
  plan: object;
}

/** The day of 25.5° N 32.6° E before its first contact at 08:39 UTC; C2 is at 10:02 UTC. */
const BEGINS = "2027-08-02T07:45:00Z";
const REAL_FROM = Date.parse("2027-08-02T10:01:20Z");
const GLASSES_BEFORE_C3_MS = 15_000;
const PRACTICE = { anchor: "C2", offsetS: -110, rate: 1 };
const PRACTICE_MS = 600_000;
const ARRIVE_MS = 20_000;
const CLOCK_S = 0.004;
const FLOOD_MS = 4000;
const FLOOD_CONNECTIONS = 64;
/** Between two blocks of another kind, ms: what was held up is over. */
const SETTLE_MS = 2500;
const HUB_PROBES = 15;
const AFTER_LEAP_MS = 85_000;
const VISITORS = fileURLToPath(new URL("./crowd-visitors.ts", import.meta.url));

interface World {
  time: MovedTime;
  field: CrowdField;
  hub: HubProcess;
  token: string;
  visitors: Visitors;
}

export async function crowdLoad(ports: LoadPorts): Promise<Figure[]> {
  const time = movedTime(BEGINS);
  const machine = { clockFile: time.file, dispersionS: CLOCK_S };
  const broker = await brokerUrl();
  const field = await startCrowdField(broker, machine);
  const hub = await startHubProcess(["--publish", broker], machine);
  const visitors = new Visitors(time.file);
  try {
    const token = await hub.leadToken();
    await hub.call("PUT", "/api/plan", ports.plan, { ...bearer(token), "If-Match": '"plan-0"' });
    await until(
      "the plan has come through",
      async () =>
        ((await (await fetch(`${field.nginx.url}/api/board`)).json()) as BoardSnapshot).eclipse !== null,
    );
    const { key } = await hub.call("GET", "/api/board");
    const come = { origin: field.nginx.url, key, visitors: ports.visitors, overMs: ARRIVE_MS };
    visitors.ask({ type: "come", ...come, seed: "a field of visitors" });
    await pause(ARRIVE_MS + 2000);
    const world = { time, field, hub, token, visitors };
    return [
      ...(await tenMinutes(world, ports.visitors)),
      ...(await blocks(world, ports)),
      ...(await realRun(world)),
      ...(await capacity(field)),
    ];
  } finally {
    visitors.end();
    await field.end();
    await hub.end();
    time.end();
  }
}

async function tenMinutes(world: World, visitors: number): Promise<Figure[]> {
  const { hub, token, field } = world;
  const c2 = await practise(world);
  const begun = await spent(world);
  await callAt(world, c2 + 1000);
  const rule = await ruleOf(world, "offPractice");
  world.visitors.ask({ type: "rule", rule });
  await pause(8000);
  const called = await world.visitors.tell();
  process.stderr.write(`${(100 * called.offNow.right).toFixed(1)} % told off 8 s after the call\n`);
  await pause(rule.untilMs - 5000 - world.time.now());
  const before = await world.visitors.tell();
  const near = await spent(world);
  await pause(rule.untilMs + 1000 - world.time.now());
  const after = await world.visitors.tell();
  await pause(begun.atMs + PRACTICE_MS - performance.now());
  const end = await world.visitors.tell();
  await hub.call("DELETE", "/api/practice", undefined, bearer(token));
  const which = `${visitors} visitors`;
  const windowS = (near.atMs - begun.atMs) / 1000;
  const requests = near.requests - begun.requests;
  const perRequest = (near.bytes - begun.bytes) / requests;
  const crowd = await hub.call("GET", "/api/crowd", undefined, bearer(token));
  return [
    figure("practice across C2 and C3", PRACTICE_MS / 1000, "s"),
    figure("looks at boards that were judged in it", end.looks, "1"),
    figure("told outside the rule in it", end.wrong, "1"),
    figure("told off 8 s after the call, phones set by their network", 100 * called.offNow.right, "%"),
    figure("told off 5 s before they go on, phones set by their network", 100 * before.offNow.right, "%"),
    figure("told off then, phones that are hours ahead", 100 * before.offNow.aheadHours, "%"),
    ...early("practice", after),
    figure("fetches that failed", end.traffic.failed, "1"),
    figure("boards that the lead's screen counts", crowd.boards, "1"),
    figure(`requests a second, ${which} near a contact`, requests / windowS, "1/s"),
    figure(`nginx, ${which}`, share(near.nginxS - begun.nginxS, windowS), "% of a core"),
    figure(`two relays, ${which}`, share(near.relayS - begun.relayS, windowS), "% of a core"),
    figure(`Redis, ${which}`, share(near.redisS - begun.redisS, windowS), "% of a core"),
    figure(
      "bytes a visitor an hour, near a contact",
      (perRequest * requests * 3600) / windowS / visitors,
      "B",
    ),
    figure(
      "bytes a visitor an hour, at one fetch in 10 s and one look at the time a minute",
      perRequest * 420,
      "B",
    ),
    figure("what a relay says its time is good to", (await timeOf(field.relays[0] as Part)).boundMs, "ms"),
    figure("memory of a relay", memoryMB(field.relays[0]?.pid() ?? 0), "MB"),
  ];
}

/** Crowd, none, and none on a machine kept as busy: in turn, each round beginning with another. */
async function blocks(world: World, { rounds, reporter, visitors }: LoadPorts): Promise<Figure[]> {
  const { hub, token, field } = world;
  const reports = reporter(hub.url, token);
  await practise(world, 5);
  // Everybody hears of it within twelve seconds, and comes quicker from then on.
  await pause(20_000);
  const before = await spent(world);
  await pause(10_000);
  const after = await spent(world);
  const windowS = (after.atMs - before.atMs) / 1000;
  const busy = (["visitorsS", "nginxS", "relayS", "redisS"] as const).reduce(
    (sum, name) => sum + (after[name] - before[name]) / windowS,
    0,
  );
  const kinds = ["with the crowd", "without it", "without it, the machine as busy"] as const;
  const took = kinds.map((): number[] => []);
  const p99s = kinds.map((): number[] => []);
  const hubS = kinds.map(() => 0);
  const wallS = kinds.map(() => 0);
  for (let round = 0; round < rounds; round++)
    for (let n = 0; n < kinds.length; n++) {
      const kind = (n + round) % kinds.length;
      if (kind !== 0) world.visitors.freeze();
      const burners = kind === 2 ? burn(busy) : [];
      await pause(SETTLE_MS);
      const hubBefore = cpuOf(hub.pid());
      const began = performance.now();
      const one = await reports.block();
      hubS[kind] = (hubS[kind] ?? 0) + cpuOf(hub.pid()) - hubBefore;
      wallS[kind] = (wallS[kind] ?? 0) + (performance.now() - began) / 1000;
      for (const burner of burners) burner.kill("SIGKILL");
      world.visitors.thaw();
      took[kind]?.push(...one);
      p99s[kind]?.push(quantile(one, 0.99));
      process.stderr.write(`block ${kinds[kind]}: p99 ${quantile(one, 0.99).toFixed(1)} ms\n`);
    }
  reports.end();
  await hub.call("DELETE", "/api/practice", undefined, bearer(token));
  return [
    figure(`crowd with all that serves it, ${visitors} visitors near a contact`, 100 * busy, "% of a core"),
    ...kinds.flatMap((kind, n) => [
      figure(`report to console ${kind}, p50`, quantile(took[n] ?? [], 0.5), "ms"),
      figure(`report to console ${kind}, p99`, quantile(took[n] ?? [], 0.99), "ms"),
      figure(`report to console ${kind}, p99 of the best block`, Math.min(...(p99s[n] ?? [])), "ms"),
      figure(`report to console ${kind}, p99 of the worst block`, Math.max(...(p99s[n] ?? [])), "ms"),
      figure(`hub ${kind}`, share(hubS[n] ?? 0, wallS[n] ?? 1), "% of a core"),
    ]),
    figure("relays", field.relays.length, "1"),
  ];
}

async function realRun(world: World): Promise<Figure[]> {
  const { time, hub } = world;
  world.visitors.ask({
    type: "rule",
    rule: { fromMs: Infinity, untilMs: -Infinity, hubAheadMs: 0, off: "off" },
  });
  const { wrong } = await world.visitors.tell();
  await time.passTo(REAL_FROM, hub);
  const { contacts } = await hub.call("GET", "/api/board");
  await callAt(world, Number(contacts.c2) + 1000);
  const rule = await ruleOf(world, "off");
  world.visitors.ask({ type: "rule", rule });
  await pause(8000);
  const called = await world.visitors.tell();
  // Time leaps and all ask for it at once: each asks once more by itself, a minute later.
  await time.passTo(rule.untilMs - AFTER_LEAP_MS, hub);
  await pause(AFTER_LEAP_MS - 5000);
  const before = await world.visitors.tell();
  await pause(rule.untilMs + 3000 - time.now());
  const after = await world.visitors.tell();
  return [
    figure("real run: told off outside the rule", after.wrong - wrong, "1"),
    figure(
      "real run: told off 8 s after the call, phones set by their network",
      100 * called.offNow.right,
      "%",
    ),
    figure(
      "real run: told off 5 s before they go on, phones set by their network",
      100 * before.offNow.right,
      "%",
    ),
    ...early("real run", after),
  ];
}

async function capacity({ relays, nginx }: CrowdField): Promise<Figure[]> {
  const relay = await flood(relays[0] as Part, ({ pid }) => cpuOf(pid()));
  const front = await flood(nginx, nginxCpuS);
  return [
    figure("documents a core serves, relay without nginx", relay, "1/s"),
    figure("documents a core serves, nginx before the relays", front, "1/s"),
    figure("visitors a core serves behind nginx at one fetch in 10 s", front * 10, "1"),
  ];
}

/** Starts a practice and gives when its C2 is, true UTC ms. */
async function practise({ hub, token }: World, offsetS = PRACTICE.offsetS): Promise<number> {
  await hub.call("POST", "/api/practice", { ...PRACTICE, offsetS }, bearer(token));
  const { practice, contacts } = await hub.call("GET", "/api/board");
  return practice.startedUtcMs + contacts.c2 - practice.startRunMs;
}

async function callAt({ time, hub, token, visitors }: World, atMs: number): Promise<void> {
  await pause(Math.max(0, atMs - time.now()));
  visitors.ask({ type: "rule", rule: { fromMs: time.now(), untilMs: Infinity, hubAheadMs: 0, off: "off" } });
  const order = { type: "call", call: "totality" };
  await hub.call("POST", "/api/orders", { id: `load-${atMs}`, order }, bearer(token));
}

/** Off from the call on, which is now, until the hub's own instant by the hub's own clock. */
async function ruleOf({ hub, time }: World, off: Rule["off"]): Promise<Rule> {
  const { practice, contacts, calledTotalityMs } = await hub.call("GET", "/api/board");
  const utcOf = (at: number): number => (practice ? practice.startedUtcMs + at - practice.startRunMs : at);
  let best = { delayMs: Number.POSITIVE_INFINITY, aheadMs: 0 };
  for (let n = 0; n < HUB_PROBES; n++) {
    const asked = time.now();
    const { utcMs } = await hub.call("GET", "/api/time");
    const told = time.now();
    if (told - asked < best.delayMs) best = { delayMs: told - asked, aheadMs: utcMs - (asked + told) / 2 };
  }
  process.stderr.write(
    `hub's clock: ${best.aheadMs.toFixed(1)} ms ahead, ± ${(best.delayMs / 2).toFixed(1)}\n`,
  );
  const untilMs = utcOf(contacts.safeC3) - GLASSES_BEFORE_C3_MS - best.aheadMs;
  return {
    fromMs: utcOf(calledTotalityMs) - best.aheadMs - best.delayMs / 2 - 1,
    untilMs,
    hubAheadMs: best.aheadMs,
    off,
  };
}

function early(run: string, { early: { right, behind, seconds } }: VisitorsTold): Figure[] {
  const all = [...right, ...behind, ...seconds];
  const of = (share: number) => quantile(right, share);
  return [
    figure(`${run}: boards asked when they put glasses on`, all.length, "1"),
    figure(`${run}: glasses on before the hub's own instant, least of all`, Math.min(...all), "ms"),
    figure(
      `${run}: glasses on before the hub's own instant, phones set by their network, p50`,
      of(0.5),
      "ms",
    ),
    figure(`${run}: the same, p99`, of(0.99), "ms"),
    figure(`${run}: the same, most`, of(1), "ms"),
    figure(`${run}: the same, phones that are hours behind, most`, quantile(behind, 1), "ms"),
    figure(`${run}: the same, phones off by up to 3 s, most`, quantile(seconds, 1), "ms"),
  ];
}

/** The process of the visitors (crowd-visitors.ts), in the time of this world. */
class Visitors {
  private readonly child: ChildProcess;

  constructor(clockFile: string) {
    // They read the file themselves, once for all.
    const { env } = onMachine({ clockFile });
    this.child = fork(VISITORS, { execArgv: ["--import", "tsx"], env });
  }

  ask(what: VisitorsAsked): void {
    this.child.send(what);
  }

  tell(): Promise<VisitorsTold> {
    return new Promise((resolve, reject) => {
      this.child.once("exit", () => reject(new Error("the process of the visitors has ended")));
      this.child.once("message", (told) => {
        this.child.removeAllListeners("exit");
        resolve(told as VisitorsTold);
      });
      this.ask({ type: "tell" });
    });
  }

  /** As if nobody were there. */
  freeze(): void {
    this.child.kill("SIGSTOP");
  }

  thaw(): void {
    this.child.kill("SIGCONT");
  }

  pid(): number {
    return this.child.pid ?? 0;
  }

  end(): void {
    this.child.kill("SIGKILL");
  }
}

/** Keeps the machine busy for so many cores' time. */
function burn(cores: number): ChildProcess[] {
  const processes = Math.max(1, Math.ceil(cores / 0.95));
  const busyMs = (10 * cores) / processes;
  const work = `setInterval(() => { const end = performance.now() + ${busyMs}; while (performance.now() < end); }, 10)`;
  return Array.from({ length: processes }, () => spawn(process.execPath, ["-e", work], { stdio: "ignore" }));
}

async function spent({ field, visitors }: World) {
  const { boards, unchanged, times, bytes } = (await visitors.tell()).traffic;
  return {
    atMs: performance.now(),
    requests: boards + unchanged + times,
    bytes,
    relayS: field.relays.reduce((sum, relay) => sum + cpuOf(relay.pid()), 0),
    nginxS: nginxCpuS(field.nginx),
    redisS: cpuOf(field.redis.pid()),
    visitorsS: cpuOf(visitors.pid()),
  };
}

/** As fast as so many connections ask: documents for each second of the server's processor time. */
async function flood(part: Part, cpu: (part: Part) => number): Promise<number> {
  const agent = new Agent({ keepAlive: true, maxSockets: FLOOD_CONNECTIONS });
  const began = cpu(part);
  const end = performance.now() + FLOOD_MS;
  let served = 0;
  const one = async (): Promise<void> => {
    while (performance.now() < end) {
      const ok = await new Promise<boolean>((resolve) => {
        const headers = { "Accept-Encoding": "br" };
        get(`${part.url}/api/board`, { agent, headers }, (response) => {
          response.resume();
          response.on("end", () => resolve(response.statusCode === 200));
        }).on("error", () => resolve(false));
      });
      if (ok) served++;
    }
  };
  await Promise.all(Array.from({ length: FLOOD_CONNECTIONS }, one));
  agent.destroy();
  return served / (cpu(part) - began);
}

/** utime and stime, fields 14 and 15 of proc(5), in ticks of 1/100 s. */
function cpuOf(pid: number): number {
  const fields = readFileSync(`/proc/${pid}/stat`, "utf8").split(") ")[1]?.split(" ") ?? [];
  return (Number(fields[11]) + Number(fields[12])) / 100;
}

async function timeOf({ url }: Part): Promise<{ boundMs: number }> {
  return (await (await fetch(`${url}/api/time`)).json()) as { boundMs: number };
}

/** Resident, proc(5). */
function memoryMB(pid: number): number {
  const [kB = "0"] = /(?<=VmRSS:\s+)\d+/.exec(readFileSync(`/proc/${pid}/status`, "utf8")) ?? [];
  return Number(kB) / 1024;
}

/** The master and its workers. */
function nginxCpuS(nginx: Part): number {
  const workers = execFileSync("ps", ["-o", "pid=", "--ppid", String(nginx.pid())], { encoding: "utf8" });
  const pids = workers.split("\n").map(Number).filter(Boolean);
  return [nginx.pid(), ...pids].reduce((sum, pid) => sum + cpuOf(pid), 0);
}

const bearer = (token: string) => ({ Authorization: `Bearer ${token}` });

function pause(ms: number): Promise<void> {
  return new Promise((resolve) => setTimeout(resolve, ms));
}

function quantile(values: readonly number[], share: number): number {
  const sorted = [...values].sort((a, b) => a - b);
  return sorted[Math.floor((sorted.length - 1) * share)] ?? 0;
}

function share(cpuS: number, wallS: number): number {
  return (100 * cpuS) / wallS;
}

function figure(name: string, value: number, unit: string): Figure {
  return {
    figure: name,
    value: Math.abs(value) >= 100 ? Math.round(value) : Math.round(value * 100) / 100,
    unit,
  };
}
