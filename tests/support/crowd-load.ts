/**
 * A crowd's load, for the bench: thousands of simulated visitors behind nginx and two relays through C2
 * and C3 of a real run in moved time. What each would be told is judged every second by the view that
 * the page draws; processor time is the system's word on each process.
 *
 * Neglected: TLS, radio and access points (loopback), and that a visitor's phone has a processor of its own.
 */
import { execFileSync } from "node:child_process";
import { readFileSync } from "node:fs";
import { Agent, get } from "node:http";
import { boardView } from "../../console/board/board-view.ts";
import { seeded } from "../../hub/people/seeded.ts";
import { Crowd } from "../../hub/people/visitor.ts";
import type { BoardFetcher } from "../../shared/link/board-fetcher.ts";
import type { BoardSnapshot } from "../../shared/protocol/messages.ts";
import { monoMs, utcMs } from "../../shared/time/instants.ts";
import { movedTime } from "../browser/support/moved-time.ts";
import { startHubProcess } from "../browser/support/start-hub.ts";
import { brokerUrl, type Part, startCrowdField } from "./crowd-field.ts";
import { until } from "./until.ts";

export interface Figure {
  figure: string;
  value: number;
  unit: string;
}

export interface LoadPorts {
  visitors: number;
  /** Reports at a steady rate to the hub at this address, and how long they took; run without and with the crowd. */
  reports: (url: string, token: string) => Promise<{ p50: number; p99: number }>;
  plan: object;
}

/** C2 of 25.5° N 32.6° E is some seconds after 10:02 UTC. */
const BEGINS = "2027-08-02T10:01:00Z";
const GLASSES_BEFORE_C3_MS = 15_000;
const ARRIVE_MS = 20_000;
const FLOOD_MS = 4000;
const FLOOD_CONNECTIONS = 64;

export async function crowdLoad({ visitors, reports, plan }: LoadPorts): Promise<Figure[]> {
  const time = movedTime(BEGINS);
  const broker = await brokerUrl();
  const field = await startCrowdField(broker, time.file);
  const hub = await startHubProcess(["--publish", broker], { clockFile: time.file });
  const crowd = new Crowd();
  try {
    const token = await hub.leadToken();
    const authorised = { Authorization: `Bearer ${token}` };
    await hub.call("PUT", "/api/plan", plan, { ...authorised, "If-Match": '"plan-0"' });
    const alone = await reports(hub.url, token);
    const { key } = await hub.call("GET", "/api/board");
    await until(
      "the plan has come through",
      async () =>
        ((await (await fetch(`${field.nginx.url}/api/board`)).json()) as BoardSnapshot).eclipse !== null,
    );
    const chance = seeded("a field of visitors");
    const clock = { mono: () => monoMs(time.now()), wall: () => utcMs(time.now()) };
    for (let n = 0; n < visitors; n++)
      setTimeout(
        () => crowd.add({ origin: () => field.nginx.url, key, clock, chance }),
        chance() * ARRIVE_MS,
      );
    await pause(ARRIVE_MS + 2000);
    const judge = new Judge(crowd.visitors, () => time.now());
    judge.start();
    const c2 = Number((await hub.call("GET", "/api/board")).contacts.c2);
    if (time.now() < c2 + 1000) await pause(c2 + 1000 - time.now());
    await hub.call(
      "POST",
      "/api/orders",
      { id: "load-1", order: { type: "call", call: "totality" } },
      authorised,
    );
    judge.calledAt = time.now();
    await pause(6000);
    const offShare = judge.share("off");
    const before = spent(field.relays, field.nginx, crowd);
    const with_ = await reports(hub.url, token);
    const after = spent(field.relays, field.nginx, crowd);
    const c3 = Number((await hub.call("GET", "/api/board")).contacts.safeC3);
    judge.glassesOnAt = c3 - GLASSES_BEFORE_C3_MS;
    await time.passTo(judge.glassesOnAt - 12_000, hub);
    await pause(8000);
    const offAgain = judge.share("off");
    judge.quick();
    await until("C3 has passed", () => time.now() > judge.glassesOnAt + 3000, { limitMs: 60_000 });
    judge.stop();
    const requests = after.requests - before.requests;
    const windowS = (after.atMs - before.atMs) / 1000;
    const relayS = after.relayS - before.relayS;
    const nginxS = after.nginxS - before.nginxS;
    const which = `${visitors} visitors near a contact`;
    const relayFlood = await flood(field.relays[0] as Part, relayCpuS);
    const nginxFlood = await flood(field.nginx, nginxCpuS);
    const perRequest = (after.bytes - before.bytes) / requests;
    return [
      { figure: "report to console without the crowd, p50", value: alone.p50, unit: "ms" },
      { figure: "report to console without the crowd, p99", value: alone.p99, unit: "ms" },
      { figure: `report to console, ${which}, p50`, value: with_.p50, unit: "ms" },
      { figure: `report to console, ${which}, p99`, value: with_.p99, unit: "ms" },
      { figure: `requests a second, ${which}`, value: round(requests / windowS), unit: "1/s" },
      { figure: `nginx, ${which}`, value: round((nginxS / windowS) * 100), unit: "% of a core" },
      { figure: `two relays, ${which}`, value: round((relayS / windowS) * 100), unit: "% of a core" },
      { figure: "documents a core serves, relay without nginx", value: round(relayFlood), unit: "1/s" },
      { figure: "documents a core serves, nginx before the relays", value: round(nginxFlood), unit: "1/s" },
      {
        figure: "visitors a core serves behind nginx at one fetch in 10 s",
        value: round(nginxFlood * 10),
        unit: "1",
      },
      {
        figure: "bytes a visitor an hour, near a contact",
        value: round((perRequest * requests * 3600) / windowS / visitors),
        unit: "B",
      },
      {
        figure: "bytes a visitor an hour, at one fetch in 10 s and one look at the time a minute",
        value: round(perRequest * 420),
        unit: "B",
      },
      { figure: "fetches that failed", value: crowd.traffic.failed, unit: "1" },
      { figure: "visitors told glasses off 6 s after the call", value: round(offShare * 100), unit: "%" },
      { figure: "visitors told glasses off 4 s before they go on", value: round(offAgain * 100), unit: "%" },
      { figure: "looks at boards that were judged", value: judge.looks, unit: "1" },
      { figure: "told glasses off outside the rule", value: judge.wrong, unit: "1" },
      {
        figure: "glasses on before the hub's own instant, least",
        value: round(judge.leastEarlyMs()),
        unit: "ms",
      },
      {
        figure: "glasses on before the hub's own instant, most",
        value: round(judge.mostEarlyMs()),
        unit: "ms",
      },
    ];
  } finally {
    crowd.stop();
    await field.end();
    await hub.end();
    time.end();
  }
}

/** Looks at every visitor once a second, and all the time around the instant when glasses go on. */
class Judge {
  calledAt = Number.POSITIVE_INFINITY;
  glassesOnAt = Number.POSITIVE_INFINITY;
  looks = 0;
  wrong = 0;
  private everyMs = 1000;
  private timer: NodeJS.Timeout | undefined;
  /** By visitor: when it was last seen to say off, true UTC. */
  private readonly lastOff = new Map<BoardFetcher, number>();

  constructor(
    private readonly visitors: readonly BoardFetcher[],
    private readonly now: () => number,
  ) {}

  start(): void {
    const round_ = (): void => {
      this.share("off");
      this.timer = setTimeout(round_, this.everyMs);
    };
    round_();
  }

  quick(): void {
    this.everyMs = 20;
  }

  stop(): void {
    clearTimeout(this.timer);
  }

  share(glasses: "on" | "off"): number {
    let such = 0;
    for (const visitor of this.visitors) {
      const { board, heard, cover } = visitor.view();
      const { utcMs: at, boundMs } = visitor.reading();
      const trueMs = this.now();
      const told = board ? boardView(board, at, { boundMs, linked: heard, cover }).glasses : "on";
      this.looks++;
      if (told === "off") {
        this.lastOff.set(visitor, trueMs);
        if (trueMs < this.calledAt || trueMs > this.glassesOnAt) this.wrong++;
      }
      if (told === glasses) such++;
    }
    return such / Math.max(1, this.visitors.length);
  }

  leastEarlyMs(): number {
    return Math.min(...this.early());
  }

  mostEarlyMs(): number {
    return Math.max(...this.early());
  }

  private early(): number[] {
    return [...this.lastOff.values()].map((at) => this.glassesOnAt - at);
  }
}

function spent(relays: readonly Part[], nginx: Part, crowd: Crowd) {
  const { boards, unchanged, times, bytes } = crowd.traffic;
  return {
    atMs: performance.now(),
    requests: boards + unchanged + times,
    bytes,
    relayS: relays.reduce((sum, relay) => sum + relayCpuS(relay), 0),
    nginxS: nginxCpuS(nginx),
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

function relayCpuS(relay: Part): number {
  return cpuOf(relay.pid());
}

/** The master and its workers. */
function nginxCpuS(nginx: Part): number {
  const workers = execFileSync("ps", ["-o", "pid=", "--ppid", String(nginx.pid())], { encoding: "utf8" });
  const pids = workers.split("\n").map(Number).filter(Boolean);
  return [nginx.pid(), ...pids].reduce((sum, pid) => sum + cpuOf(pid), 0);
}

function pause(ms: number): Promise<void> {
  return new Promise((resolve) => setTimeout(resolve, ms));
}

function round(value: number): number {
  return Math.abs(value) >= 100 ? Math.round(value) : Math.round(value * 100) / 100;
}
