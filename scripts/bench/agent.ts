/**
 * An agent of one rig while frames arrive in its folder, twenty a second: its processor time and memory, the
 * frames it counts, and how many of them anybody opened (none: names and sizes only). Then a day of events,
 * compressed (agent-day.ts). NOONFALL_AGENT_S sets for how long, seconds; the day is 144 times that. A frame
 * that is read gets a new access time; all begin with an old one, and one is read in the end to show it.
 */
import { type ChildProcess, spawn } from "node:child_process";
import { mkdirSync, mkdtempSync, readFileSync, rmSync, statSync, utimesSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { liveAgentDay } from "./agent-day.ts";
import { call, cpuS, memoryMB, PIN, startHub } from "./hub/hub-process.ts";

const AGENT = fileURLToPath(new URL("../../build/hub/agent.js", import.meta.url));
const FRAMES_PER_S = 20;
const SECONDS = Number(process.env.NOONFALL_AGENT_S ?? 600);
const DAY_S = 144 * SECONDS;
const SETTLE_MS = 5000;

const pause = (ms: number) => new Promise((resolve) => setTimeout(resolve, ms));

export async function run(): Promise<{ figure: string; value: number; unit: string }[]> {
  const folder = mkdtempSync(join(tmpdir(), "noonfall-bench-agent-"));
  const card = join(folder, "card");
  mkdirSync(card);
  const hub = await startHub(join(folder, "data"));
  let agent: ChildProcess | undefined;
  try {
    const { token } = await call(hub.url, "POST", "/api/lead/session", { pin: PIN });
    const plan = {
      eclipse: "2027-08-02",
      site: { name: "Palm Field", latDeg: 25.5, lonDeg: 32.6, heightM: 80 },
      rigs: [{ id: "west", name: "West telescope", kind: "tracked-telescope", focalLengthMm: 480 }],
    };
    await call(hub.url, "PUT", "/api/plan", plan, token, { "If-Match": '"plan-0"' });
    const { url } = await call(hub.url, "GET", "/api/rigs/west/link", undefined, token);
    const link = `${hub.url}/rig${new URL(url).hash}`;
    agent = spawn(process.execPath, [AGENT, "--join", link, "--watch", card], {
      cwd: folder,
      stdio: "ignore",
    });
    const pid = agent.pid as number;
    const rig = async () => (await call(hub.url, "GET", "/api/run", undefined, token)).rigs[0];
    while ((await rig()).card !== "in") await pause(100);
    await pause(SETTLE_MS);
    const before = { cpuS: cpuS(pid), hubCpuS: cpuS(hub.pid), memoryMB: memoryMB(pid) };
    const files: string[] = [];
    const began = performance.now();
    // In thirds: a leak rises from each to the next.
    const most = [0, 0, 0];
    for (let n = 0; performance.now() - began < SECONDS * 1000; n++) {
      const file = join(card, `F${String(n).padStart(6, "0")}.JPG`);
      writeFileSync(file, Buffer.alloc(20_000));
      // Older than its content: whatever reads it next leaves a mark, also where marks are sparing.
      utimesSync(file, new Date(Date.now() - 86_400_000), new Date());
      files.push(file);
      const third = Math.min(2, Math.floor((3 * (performance.now() - began)) / (SECONDS * 1000)));
      if (n % 100 === 0) most[third] = Math.max(most[third] as number, memoryMB(pid));
      await pause(Math.max(0, began + ((n + 1) * 1000) / FRAMES_PER_S - performance.now()));
    }
    const tookS = (performance.now() - began) / 1000;
    const after = { cpuS: cpuS(pid), hubCpuS: cpuS(hub.pid), memoryMB: memoryMB(pid) };
    await pause(SETTLE_MS * 2);
    const counted = (await rig()).frames;
    const wasRead = (file: string) => Date.now() - statSync(file).atimeMs < 43_200_000;
    const read = files.filter(wasRead).length;
    readFileSync(files[0] as string);
    if (!wasRead(files[0] as string)) throw new Error(`${card} keeps no access times: set TMPDIR elsewhere`);
    const { events } = await call(hub.url, "GET", "/api/log.json", undefined, token);
    const reports = events.filter(({ type }: { type: string }) => type === "rigReported").length;
    const named = (what: string) => `${what}, ${FRAMES_PER_S} frames/s for ${Math.round(tookS)} s`;
    return [
      {
        figure: named("agent's processor"),
        value: percent(after.cpuS - before.cpuS, tookS),
        unit: "% of a core",
      },
      { figure: named("agent's memory at the begin"), value: Math.round(before.memoryMB), unit: "MB" },
      ...most.map((value, third) => ({
        figure: named(`agent's memory at most, ${["first", "second", "last"][third]} third`),
        value: Math.round(value),
        unit: "MB",
      })),
      {
        figure: named("hub's processor"),
        value: percent(after.hubCpuS - before.hubCpuS, tookS),
        unit: "% of a core",
      },
      { figure: named("frames written"), value: files.length, unit: "files" },
      { figure: named("frames counted"), value: counted, unit: "files" },
      { figure: named("frames read"), value: read, unit: "files" },
      { figure: named("events logged"), value: Math.round((reports / tookS) * 600) / 10, unit: "/min" },
      ...(await dayFigures()),
    ];
  } finally {
    agent?.kill("SIGTERM");
    await hub.stop();
    rmSync(folder, { recursive: true, force: true });
  }
}

async function dayFigures(): Promise<{ figure: string; value: number; unit: string }[]> {
  const { written, counted, reports, heapMB } = await liveAgentDay(DAY_S);
  const named = (what: string) => `${what}, ${DAY_S} s compressed`;
  const tenth = (value: number | undefined) => Math.round((value ?? Number.NaN) * 10) / 10;
  return [
    { figure: named("frames written"), value: written, unit: "files" },
    { figure: named("frames counted"), value: counted, unit: "files" },
    { figure: named("reports"), value: reports, unit: "" },
    { figure: named("heap at the begin"), value: tenth(heapMB[0]), unit: "MB" },
    { figure: named("heap at most"), value: tenth(Math.max(...heapMB)), unit: "MB" },
    { figure: named("heap at the end"), value: tenth(heapMB.at(-1)), unit: "MB" },
  ];
}

function percent(usedS: number, ofS: number): number {
  return Math.round((usedS / ofS) * 1000) / 10;
}
