/** The built hub as a process of its own, in a data folder of its own: started, killed, started again. */
import { type ChildProcess, spawn } from "node:child_process";
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { delimiter, join } from "node:path";
import { fileURLToPath } from "node:url";
import { freePort } from "../../../scripts/setup/free-port.mjs";
import { PROGRAMS } from "../../support/built-hub.ts";

const MAIN = join(PROGRAMS, "main.js");
/** Tools of a system whose clock is synchronised, before the machine's own (Linux). */
const SYNCHRONISED = fileURLToPath(new URL("./synchronised", import.meta.url));
const MOVED_CLOCK = new URL("./moved-clock.mjs", import.meta.url).href;
export const PIN = "271828";
const START_LIMIT_MS = 90_000;

export interface HubProcess {
  url: string;
  /** Calls the interface as JSON; throws on anything but success. */
  call(method: string, path: string, body?: unknown, headers?: Record<string, string>): Promise<any>;
  /** The token of a lead's session of the test's own, made at the first use. */
  leadToken(): Promise<string>;
  /** Ends the process at once, as a power cut would: SIGKILL, by its number. */
  kill(): Promise<void>;
  /** Stops it where it is, as a laptop does that falls asleep: it takes connections, says nothing. */
  freeze(): void;
  /** Lets it go on after freeze. */
  thaw(): void;
  /** Starts it again on the same port with the same data. */
  startAgain(): Promise<void>;
  /** Ends it cleanly, gives its exit code, and removes its data. */
  end(): Promise<number | null>;
  /** What it has printed. */
  printed(): string;
  pid(): number;
}

export interface HubMachine {
  /** Whether it has tools that say it is synchronised, or none that says anything, as a laptop without a network. */
  system?: "synchronised" | "silent";
  /** The file that its clocks go by (moved-time.ts). */
  clockFile?: string | undefined;
  /** How well a synchronised system says it knows its time, s; 0.499 where it is not said. */
  dispersionS?: number | undefined;
}

/** What a process of ours on such a machine is started with: before its file, and its environment. */
export function onMachine({ system = "synchronised", clockFile, dispersionS }: HubMachine = {}) {
  return {
    before: clockFile ? ["--import", MOVED_CLOCK] : [],
    env: {
      ...process.env,
      PATH: system === "silent" ? "" : [SYNCHRONISED, process.env.PATH].join(delimiter),
      ...(clockFile && { TEST_CLOCK_FILE: clockFile }),
      ...(dispersionS !== undefined && { TEST_CLOCK_DISPERSION_S: String(dispersionS) }),
    },
  };
}

/** Rejects with what the hub printed when it does not answer in time. */
export async function startHubProcess(
  args: readonly string[] = [],
  machine: HubMachine = {},
): Promise<HubProcess> {
  const folder = mkdtempSync(join(tmpdir(), "noonfall-browser-"));
  const port = await freePort();
  const url = `http://127.0.0.1:${port}`;
  let printed = "";
  let child: ChildProcess | undefined;
  let ended: Promise<number | null> = Promise.resolve(null);
  let token: string | undefined;

  const start = async (): Promise<void> => {
    const own = ["--port", String(port), "--host", "127.0.0.1", "--data", folder, "--lead-pin", PIN];
    const { before, env } = onMachine(machine);
    const started = spawn(process.execPath, [...before, MAIN, ...own, ...args], {
      stdio: ["ignore", "pipe", "pipe"],
      env,
    });
    child = started;
    ended = new Promise((resolve) => started.once("exit", (code) => resolve(code)));
    for (const stream of [started.stdout, started.stderr]) {
      stream?.on("data", (chunk: Buffer) => {
        printed += chunk.toString();
      });
    }
    const deadline = Date.now() + START_LIMIT_MS;
    for (;;) {
      if (started.exitCode !== null) throw new Error(`the hub ended with ${started.exitCode}:\n${printed}`);
      if (await answers(url)) return;
      if (Date.now() > deadline) {
        started.kill("SIGKILL");
        throw new Error(`the hub did not answer within ${START_LIMIT_MS / 1000} s:\n${printed}`);
      }
      await new Promise((resolve) => setTimeout(resolve, 50));
    }
  };

  const hub: HubProcess = {
    url,
    async call(method, path, body, headers = {}) {
      const response = await fetch(`${url}${path}`, {
        method,
        headers: { ...(body !== undefined && { "Content-Type": "application/json" }), ...headers },
        ...(body !== undefined && { body: JSON.stringify(body) }),
      });
      const text = await response.text();
      if (!response.ok) throw new Error(`${method} ${path}: ${response.status} ${text}`);
      return text === "" ? undefined : JSON.parse(text);
    },
    async leadToken() {
      token ??= (await hub.call("POST", "/api/lead/session", { pin: PIN })).token as string;
      return token;
    },
    async kill() {
      child?.kill("SIGKILL");
      await ended;
    },
    freeze: () => void child?.kill("SIGSTOP"),
    thaw: () => void child?.kill("SIGCONT"),
    startAgain: start,
    async end() {
      child?.kill("SIGTERM");
      const timer = setTimeout(() => child?.kill("SIGKILL"), 10_000);
      const code = await ended;
      clearTimeout(timer);
      rmSync(folder, { recursive: true, force: true });
      return code;
    },
    printed: () => printed,
    pid: () => child?.pid ?? 0,
  };
  try {
    await start();
  } catch (error) {
    rmSync(folder, { recursive: true, force: true });
    throw error;
  }
  return hub;
}

async function answers(url: string): Promise<boolean> {
  try {
    return (await fetch(`${url}/api/health`, { signal: AbortSignal.timeout(2000) })).ok;
  } catch {
    return false;
  }
}
