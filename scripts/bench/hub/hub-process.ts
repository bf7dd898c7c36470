/** The built hub as a process of its own, and what the system says of it. Linux and macOS. */
import { type ChildProcess, execFileSync, spawn } from "node:child_process";
import { readFileSync } from "node:fs";
import { fileURLToPath } from "node:url";
import { freePort } from "../../setup/free-port.mjs";

const MAIN = fileURLToPath(new URL("../../../build/hub/main.js", import.meta.url));
export const PIN = "271828";

export interface HubProcess {
  url: string;
  pid: number;
  /** From starting the process to its first answer, ms. */
  startMs: number;
  stop(): Promise<void>;
}

/**
 * Starts the hub on a free loopback port. Rejects when it does not answer within a minute.
 * NOONFALL_PROFILE=FOLDER in the environment leaves a processor profile of every hub there.
 */
export async function startHub(dataDir: string): Promise<HubProcess> {
  const port = await freePort();
  const url = `http://127.0.0.1:${port}`;
  const profile = process.env.NOONFALL_PROFILE;
  const flags = profile ? ["--cpu-prof", `--cpu-prof-dir=${profile}`] : [];
  const args = [
    ...flags,
    MAIN,
    "--port",
    String(port),
    "--host",
    "127.0.0.1",
    "--data",
    dataDir,
    "--lead-pin",
    PIN,
  ];
  const startedMs = performance.now();
  const child = spawn(process.execPath, args, { stdio: ["ignore", "ignore", "inherit"] });
  const ended = new Promise<void>((resolve) => child.once("exit", () => resolve()));
  try {
    await answering(url, child);
  } catch (error) {
    child.kill("SIGKILL");
    throw error;
  }
  return {
    url,
    pid: child.pid as number,
    startMs: performance.now() - startedMs,
    async stop() {
      child.kill("SIGTERM");
      const timer = setTimeout(() => child.kill("SIGKILL"), 8000);
      await ended;
      clearTimeout(timer);
    },
  };
}

async function answering(url: string, child: ChildProcess): Promise<void> {
  const deadline = performance.now() + 60_000;
  while (performance.now() < deadline) {
    if (child.exitCode !== null) throw new Error(`the hub ended with ${child.exitCode}`);
    try {
      if ((await fetch(`${url}/api/health`)).ok) return;
    } catch {
      // not yet
    }
    await new Promise((resolve) => setTimeout(resolve, 10));
  }
  throw new Error("the hub did not answer within a minute");
}

/** Resident memory, MB. */
export function memoryMB(pid: number): number {
  return Number(execFileSync("ps", ["-o", "rss=", "-p", String(pid)], { encoding: "utf8" }).trim()) / 1024;
}

/** Processor time used so far, s; NaN where the system does not say it finely. */
export function cpuS(pid: number): number {
  try {
    const fields = readFileSync(`/proc/${pid}/stat`, "utf8").split(") ")[1]?.split(" ") ?? [];
    // utime and stime are fields 14 and 15 of proc(5), in ticks of 1/100 s.
    return (Number(fields[11]) + Number(fields[12])) / 100;
  } catch {
    return Number.NaN;
  }
}

export async function call(
  url: string,
  method: string,
  path: string,
  body: unknown,
  token?: string,
  headers: Record<string, string> = {},
): Promise<any> {
  const response = await fetch(`${url}${path}`, {
    method,
    headers: {
      "Content-Type": "application/json",
      ...(token !== undefined && { Authorization: `Bearer ${token}` }),
      ...headers,
    },
    ...(body !== undefined && { body: JSON.stringify(body) }),
  });
  const text = await response.text();
  if (!response.ok) throw new Error(`${method} ${path}: ${response.status} ${text.slice(0, 300)}`);
  return text === "" ? undefined : JSON.parse(text);
}
