/** How long `npm start` takes when all is fresh, and what the idle hub holds in memory. */
import { spawn } from "node:child_process";
import { mkdtempSync, readFileSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { freePort } from "../setup/free-port.mjs";

const RUNS = 5;
const IDLE_MS = 5000;
const LIMIT_MS = 30_000;

interface Start {
  answerMs: number;
  idleMB: number | undefined;
  endMs: number;
}

export async function run(): Promise<Array<{ figure: string; value: number; unit: string }>> {
  const data = mkdtempSync(join(tmpdir(), "noonfall-bench-"));
  try {
    const first = await startOnce(data);
    const starts: Start[] = [];
    for (let n = 0; n < RUNS; n++) starts.push(await startOnce(data));
    const answerMs = median(starts.map((one) => one.answerMs));
    const endMs = median(starts.map((one) => one.endMs));
    const memory = starts.flatMap((one) => (one.idleMB === undefined ? [] : [one.idleMB]));
    return [
      {
        figure: "first start with an empty data folder: until the hub answers",
        value: first.answerMs,
        unit: "ms",
      },
      { figure: "start: until the hub answers, median of 5", value: answerMs, unit: "ms" },
      { figure: "Ctrl-C: until the hub has ended, median of 5", value: endMs, unit: "ms" },
      ...(memory.length > 0 ? [{ figure: "hub idle, resident", value: median(memory), unit: "MB" }] : []),
    ];
  } finally {
    rmSync(data, { recursive: true, force: true });
  }
}

async function startOnce(data: string): Promise<Start> {
  const port = await freePort();
  const script = fileURLToPath(new URL("../start.mjs", import.meta.url));
  const startedMs = performance.now();
  const options = ["--port", String(port), "--host", "127.0.0.1", "--data", data];
  const hub = spawn(process.execPath, [script, ...options], { stdio: ["ignore", "ignore", "inherit"] });
  const ended = new Promise<void>((resolve) => hub.once("exit", () => resolve()));
  try {
    await answers(`http://127.0.0.1:${port}/api/health`, hub);
    const answerMs = performance.now() - startedMs;
    await new Promise((resolve) => setTimeout(resolve, IDLE_MS));
    const idleMB = residentMB(hub.pid);
    const endedMs = performance.now();
    hub.kill("SIGINT");
    await ended;
    return { answerMs, idleMB, endMs: performance.now() - endedMs };
  } finally {
    if (hub.exitCode === null) hub.kill("SIGKILL");
    await ended;
  }
}

async function answers(url: string, hub: { exitCode: number | null }): Promise<void> {
  const deadlineMs = performance.now() + LIMIT_MS;
  while (performance.now() < deadlineMs) {
    if (hub.exitCode !== null) throw new Error(`the hub ended with ${hub.exitCode}`);
    const answer = await fetch(url).catch(() => undefined);
    if (answer?.ok) return;
    await new Promise((resolve) => setTimeout(resolve, 10));
  }
  throw new Error("the hub did not answer in time");
}

/** From the kernel (Linux); elsewhere unknown. */
function residentMB(pid: number | undefined): number | undefined {
  try {
    const kB = /VmRSS:\s+(\d+) kB/.exec(readFileSync(`/proc/${pid}/status`, "utf8"))?.[1];
    return kB === undefined ? undefined : (Number(kB) * 1024) / 1e6;
  } catch {
    return undefined;
  }
}

function median(values: readonly number[]): number {
  return [...values].sort((a, b) => a - b)[Math.floor(values.length / 2)] ?? Number.NaN;
}
