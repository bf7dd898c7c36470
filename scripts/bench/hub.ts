/**
 * The hub as a process, its clients in this one, over loopback: how soon a report is on the lead's
 * console, how soon a lead's call is on every screen, memory and processor time with all of them,
 * and a start with a million logged events (start-up.ts has the start without). Latencies contain
 * what this process needs to read hundreds of sockets.
 */
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import type { SiteEvent } from "../../shared/run/events.ts";
import { arrivals, type Crowd, chatterPerS, gather, planSite } from "./hub/clients.ts";
import { cpuS, type HubProcess, memoryMB, startHub } from "./hub/hub-process.ts";
import { EVENTS, writeMillion } from "./hub/million.ts";

type Figure = { figure: string; value: number; unit: string };

const RIGS = 20;
const REPORT_EVERY_MS = 500;
const REPORTS_PER_RIG = 30;
const MANY_RIGS = 60;
const MANY_BOARDS = 500;
const CALLS = 40;
const CALL_EVERY_MS = 500;
const CALM_MS = 20_000;
/** Every rig says something once a second, as its phone and an agent on its mount do together. */
const BUSY_BOARDS = 300;
const BUSY_EVERY_MS = 1000;
const BUSY_MS = 20_000;

export async function run(): Promise<Figure[]> {
  const figures: Figure[] = [];
  figures.push(...(await inFolder(reportsToConsole)));
  figures.push(...(await inFolder(callsToScreens)));
  figures.push(...(await inFolder(reportsWithBoards)));
  for (const snapshot of [true, false])
    figures.push(...(await inFolder((folder) => million(folder, snapshot))));
  return figures;
}

async function inFolder(work: (folder: string) => Promise<Figure[]>): Promise<Figure[]> {
  const folder = mkdtempSync(join(tmpdir(), "noonfall-bench-"));
  try {
    return await work(folder);
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}

async function withHub(folder: string, work: (hub: HubProcess) => Promise<Figure[]>): Promise<Figure[]> {
  const hub = await startHub(folder);
  try {
    return await work(hub);
  } finally {
    await hub.stop();
  }
}

function reportsToConsole(folder: string): Promise<Figure[]> {
  return withHub(folder, async ({ url }) => {
    const crowd = await gather(url, await planSite(url, RIGS), RIGS, 0);
    const reports = arrivals(crowd.lead);
    await pause(1000);
    await Promise.all(
      crowd.rigs.map(async (rig, n) => {
        await pause(Math.random() * REPORT_EVERY_MS);
        for (let k = 0; k < REPORTS_PER_RIG; k++) {
          const id = `report-${n}-${k}`;
          const report = { batteryPct: k, cardFreeGB: 30 };
          const fact = { v: 1, rigId: `rig-${n}`, deviceSeq: k, observedUtcMs: Date.now(), report } as const;
          reports.sent(id);
          rig.emit("facts", [{ id, fact }], () => undefined);
          await pause(REPORT_EVERY_MS * (0.8 + 0.4 * Math.random()));
        }
      }),
    );
    await pause(1000);
    crowd.close();
    const took = reports.all();
    const perS = (RIGS * 1000) / REPORT_EVERY_MS;
    const which = `report to console, ${RIGS} rigs, ${took.length} reports at ${perS}/s, ${chatterPerS(RIGS, 0)}`;
    return [
      { figure: `${which}, p50`, value: round(percentile(took, 50)), unit: "ms" },
      { figure: `${which}, p99`, value: round(percentile(took, 99)), unit: "ms" },
    ];
  });
}

function callsToScreens(folder: string): Promise<Figure[]> {
  return withHub(folder, async ({ url, pid }) => {
    const crowd = await gather(url, await planSite(url, MANY_RIGS), MANY_RIGS, MANY_BOARDS);
    const screens = MANY_RIGS + MANY_BOARDS;
    await pause(3000);
    const cpuBefore = cpuS(pid);
    const calmSince = performance.now();
    await pause(CALM_MS);
    const calmPct = ((cpuS(pid) - cpuBefore) / ((performance.now() - calmSince) / 1000)) * 100;
    const took: number[] = [];
    const lasts: number[] = [];
    for (let n = 0; n < CALLS; n++) {
      const times = await oneCall(crowd, n);
      if (times.length !== screens)
        throw new Error(`only ${times.length} of ${screens} screens heard call ${n}`);
      took.push(...times);
      lasts.push(Math.max(...times));
      await pause(CALL_EVERY_MS);
    }
    const memory = memoryMB(pid);
    crowd.close();
    const crowded = `${MANY_RIGS} rigs + ${MANY_BOARDS} boards, ${chatterPerS(MANY_RIGS, MANY_BOARDS)}`;
    const which = `lead's call to screens, ${crowded}`;
    return [
      { figure: `${which}, p50`, value: round(percentile(took, 50)), unit: "ms" },
      { figure: `${which}, p99`, value: round(percentile(took, 99)), unit: "ms" },
      {
        figure: `${which}, the last screen of a call, median`,
        value: round(percentile(lasts, 50)),
        unit: "ms",
      },
      {
        figure: `${which}, the last screen of the slowest call`,
        value: round(Math.max(...lasts)),
        unit: "ms",
      },
      { figure: `memory with ${crowded}`, value: round(memory), unit: "MB" },
      ...(Number.isFinite(calmPct)
        ? [{ figure: `processor with ${crowded}, no reports`, value: round(calmPct), unit: "% of one core" }]
        : []),
    ];
  });
}

/** What the hub costs while every rig reports: what reports cost beside the chatter. */
export function reportsWithBoards(folder: string): Promise<Figure[]> {
  return withHub(folder, async ({ url, pid }) => {
    const crowd = await gather(url, await planSite(url, MANY_RIGS), MANY_RIGS, BUSY_BOARDS);
    await pause(3000);
    let sent = 0;
    let taken = 0;
    const say = (n: number): void => {
      const id = `busy-${n}-${sent++}`;
      const report = { batteryPct: sent % 100, cardFreeGB: 30 };
      const fact = { v: 1, rigId: `rig-${n}`, deviceSeq: sent, observedUtcMs: Date.now(), report } as const;
      crowd.rigs[n]?.emit("facts", [{ id, fact }], (answers) => {
        if (answers[0]?.ok) taken++;
      });
    };
    const timers: NodeJS.Timeout[] = [];
    for (let n = 0; n < MANY_RIGS; n++)
      setTimeout(() => timers.push(setInterval(() => say(n), BUSY_EVERY_MS)), Math.random() * BUSY_EVERY_MS);
    await pause(2 * BUSY_EVERY_MS);
    const [cpuBefore, takenBefore, since] = [cpuS(pid), taken, performance.now()];
    await pause(BUSY_MS);
    const tookS = (performance.now() - since) / 1000;
    const cpuPct = ((cpuS(pid) - cpuBefore) / tookS) * 100;
    const perS = round((taken - takenBefore) / tookS);
    for (const timer of timers) clearInterval(timer);
    // On a busy machine the last answers take a while.
    for (let n = 0; n < 40 && taken !== sent; n++) await pause(250);
    crowd.close();
    if (taken !== sent) throw new Error(`${sent - taken} of ${sent} reports were not taken`);
    const which = `${MANY_RIGS} rigs + ${BUSY_BOARDS} boards, ${perS} reports/s, ${chatterPerS(MANY_RIGS, BUSY_BOARDS)}`;
    if (!Number.isFinite(cpuPct)) return [];
    return [{ figure: `processor with ${which}`, value: round(cpuPct), unit: "% of one core" }];
  });
}

/** Calls "stay filtered", or takes it back, so that every screen changes; ms until each has heard. */
async function oneCall(crowd: Crowd, n: number): Promise<number[]> {
  const times: number[] = [];
  const listeners: (() => void)[] = [];
  const heard = new Promise<void>((resolve) => {
    const all = crowd.rigs.length + crowd.boards.length;
    const note = (): void => {
      times.push(performance.now() - sentMs);
      if (times.length === all) resolve();
    };
    for (const rig of crowd.rigs) {
      const listener = (events: readonly SiteEvent[]): void => {
        if (!events.some(({ type }) => type === "called" || type === "callTakenBack")) return;
        rig.off("events", listener);
        note();
      };
      rig.on("events", listener);
      listeners.push(() => rig.off("events", listener));
    }
    for (const board of crowd.boards) {
      board.once("board", note);
      listeners.push(() => board.off("board", note));
    }
  });
  const order =
    n % 2 === 0
      ? ({ type: "call", call: "stay filtered" } as const)
      : ({ type: "takeBackCall", callId: `call-${n - 1}` } as const);
  const sentMs = performance.now();
  crowd.lead.emit("order", { id: `call-${n}`, order }, () => undefined);
  await Promise.race([heard, pause(10_000)]);
  for (const off of listeners) off();
  return times;
}

async function million(folder: string, snapshot: boolean): Promise<Figure[]> {
  await writeMillion(folder, snapshot);
  return withHub(folder, async (hub) => {
    await pause(1000);
    const which = `start with ${EVENTS} events, ${snapshot ? "newest state saved" : "all replayed"}`;
    return [
      { figure: which, value: round(hub.startMs), unit: "ms" },
      {
        figure: `memory after that, ${snapshot ? "newest state saved" : "all replayed"}`,
        value: round(memoryMB(hub.pid)),
        unit: "MB",
      },
    ];
  });
}

function percentile(values: readonly number[], percent: number): number {
  const sorted = [...values].sort((a, b) => a - b);
  return sorted[Math.min(sorted.length - 1, Math.ceil((percent / 100) * sorted.length) - 1)] ?? Number.NaN;
}

function round(value: number): number {
  return Math.round(value * 10) / 10;
}

function pause(ms: number): Promise<void> {
  return new Promise((resolve) => setTimeout(resolve, ms));
}
