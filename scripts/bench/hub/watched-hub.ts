/**
 * A hub whose loop is watched: it runs in this process with its log on the disk, its clients (a lead
 * over HTTP, a phone for each rig) in one of their own. "Held" is the processor time of the longest
 * turn of the loop, which a busy machine changes little; garbage that is collected meanwhile counts in it.
 */
import { type ChildProcess, fork } from "node:child_process";
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { HubClock } from "../../../hub/clock/hub-clock.ts";
import { machinePorts } from "../../../hub/clock/ports.ts";
import { createHub, type Hub } from "../../../hub/hub.ts";
import type { EventLog } from "../../../hub/log/event-log.ts";
import { openLog } from "../../../hub/log/site-folder.ts";
import { OnePort } from "../../../hub/network/one-port.ts";
import { PROTOCOL } from "../../../shared/protocol/version.ts";

const PIN = "271828";

export interface Watched {
  hub: Hub;
  log: EventLog;
  url: string;
  client: (what: Record<string, unknown>) => Promise<{ tookMs: number }>;
}

/**
 * With a plan of so many rigs and a phone on each; or (null) with the site that `fill` has put into the
 * data folder, and nobody but the lead.
 */
export async function withWatchedHub<Result>(
  rigs: number | null,
  work: (watched: Watched) => Promise<Result>,
  fill?: (folder: string) => Promise<void>,
): Promise<Result> {
  const folder = mkdtempSync(join(tmpdir(), "bench-watched-"));
  await fill?.(folder);
  const port = new OnePort({ onRequest: () => undefined });
  const url = `http://127.0.0.1:${await port.listen(0, "127.0.0.1")}`;
  const clock = new HubClock({ ports: machinePorts(), epoch: "bench", sources: [] });
  clock.start();
  const log = openLog(folder, "site");
  const hub = createHub({
    servers: [port.http],
    log,
    clock,
    pagesDir: "/nonexistent",
    version: "bench",
    isOurHost: () => true,
    isOurOrigin: () => true,
    origins: () => [url],
    onError: (error) => console.error(error),
  });
  hub.parts.keys.setPin(PIN);
  const child = fork(fileURLToPath(new URL("./plan-client.mjs", import.meta.url)));
  const client = speakTo(child);
  try {
    await client({ do: "sign in", url, pin: PIN });
    if (rigs !== null) {
      const body = JSON.stringify(planOf(rigs));
      await client({ do: "prepare", method: "PUT", path: "/api/plan", body, headers: { "If-Match": "*" } });
      await client({ do: "go" });
      for (let n = 0; n < rigs; n++) await client({ do: "join", rigId: `rig-${n}`, protocol: PROTOCOL });
    }
    await pause(1000);
    return await work({ hub, log, url, client });
  } finally {
    child.kill();
    await hub.close();
    clock.stop();
    await port.close(0);
    rmSync(folder, { recursive: true, force: true });
  }
}

function speakTo(child: ChildProcess): Watched["client"] {
  let count = 0;
  return (what) =>
    new Promise((resolve, reject) => {
      const id = ++count;
      const hear = (answer: { id: number; result: { tookMs: number }; error?: string }): void => {
        if (answer.id !== id) return;
        child.off("message", hear);
        if (answer.error) reject(new Error(answer.error));
        else resolve(answer.result);
      };
      child.on("message", hear);
      child.send({ id, what });
    });
}

export function planOf(rigCount: number) {
  return {
    group: "Bench",
    eclipse: "2027-08-02",
    site: { name: "Bench field", latDeg: 25.5, lonDeg: 32.6, heightM: 80 },
    rigs: Array.from({ length: rigCount }, (_, n) => ({
      id: `rig-${n}`,
      name: `Rig ${n}`,
      kind: "tracked-telescope",
      focalLengthMm: 400,
    })),
  };
}

/** Processor time of the longest turn of the loop while something was done, ms. */
export async function longestTurn(work: () => Promise<unknown>): Promise<number> {
  let longestUs = 0;
  let last = process.cpuUsage();
  let counting = true;
  const turn = (): void => {
    const { user, system } = process.cpuUsage(last);
    longestUs = Math.max(longestUs, user + system);
    last = process.cpuUsage();
    if (counting) setImmediate(turn);
  };
  setImmediate(turn);
  await work();
  counting = false;
  return round(longestUs / 1000);
}

export function percentile(values: readonly number[], p: number): number {
  const sorted = [...values].sort((a, b) => a - b);
  return sorted[Math.min(sorted.length - 1, Math.floor((sorted.length * p) / 100))] ?? Number.NaN;
}

export function pause(ms: number): Promise<void> {
  return new Promise((resolve) => setTimeout(resolve, ms));
}

export function round(value: number): number {
  return Math.round(value * 10) / 10;
}
