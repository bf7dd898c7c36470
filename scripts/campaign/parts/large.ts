/** A site of a million reports, some 320 MB: started with, exported, restored, while people wait for answers. */
import { createReadStream, createWriteStream, mkdtempSync, readFileSync, rmSync, statSync } from "node:fs";
import { request } from "node:http";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { Readable } from "node:stream";
import { pipeline } from "node:stream/promises";
import { setTimeout as pause } from "node:timers/promises";
import { writeMillion } from "../../bench/hub/million.ts";
import { HubProcess } from "../support/hub-process.ts";
import type { Part } from "../support/part.ts";

const PROBE_MS = 10;

export const run: Part = async (_options, say) => {
  const folder = mkdtempSync(join(tmpdir(), "noonfall-large-"));
  const file = join(folder, "carried.site");
  let hub: HubProcess | undefined;
  try {
    say("writing a million reports");
    await writeMillion(join(folder, "a"), false);
    hub = await HubProcess.start({ program: "built", dataDir: join(folder, "a") });
    const startMs = hub.startMs;
    const startCpuS = cpuS(hub.pid);
    const exported = await watched(hub, async (url, token) => {
      const response = await fetch(`${url}/api/site`, { headers: { Authorization: `Bearer ${token}` } });
      await pipeline(Readable.fromWeb(response.body as never), createWriteStream(file));
    });
    await hub.end();
    hub = await HubProcess.start({ program: "built", dataDir: join(folder, "b") });
    const restored = await watched(hub, (url, token) => upload(`${url}/api/site`, token, file));
    return [
      { figure: "start with a million reports and no saved state", value: Math.round(startMs), unit: "ms" },
      { figure: "processor time of it", value: startCpuS, unit: "s" },
      { figure: "site file", value: Math.round(statSync(file).size / 1e6), unit: "MB" },
      { figure: "exported in", value: Math.round(exported.tookMs), unit: "ms" },
      { figure: "longest answer meanwhile", value: Math.round(exported.longestMs), unit: "ms" },
      { figure: "restored in, until the answer", value: Math.round(restored.tookMs), unit: "ms" },
      { figure: "longest answer meanwhile", value: Math.round(restored.longestMs), unit: "ms" },
      { figure: "most memory of the hub", value: Math.round(restored.hubMB), unit: "MB", most: 350 },
      {
        figure: "with the process that looks the file over",
        value: Math.round(restored.allMB),
        unit: "MB",
        most: 350,
      },
    ];
  } finally {
    await hub?.remove();
    rmSync(folder, { recursive: true, force: true });
  }
};

async function watched(hub: HubProcess, work: (url: string, token: string) => Promise<void>) {
  const seen = { tookMs: 0, longestMs: 0, hubMB: 0, allMB: 0 };
  const token = await hub.lead();
  let working = true;
  const watch = (async () => {
    while (working) {
      const startedMs = performance.now();
      await fetch(`${hub.url}/api/health`).then((answer) => answer.text());
      seen.longestMs = Math.max(seen.longestMs, performance.now() - startedMs);
      const own = residentMB(hub.pid);
      seen.hubMB = Math.max(seen.hubMB, own);
      seen.allMB = Math.max(
        seen.allMB,
        childrenOf(hub.pid).reduce((sum, pid) => sum + residentMB(pid), own),
      );
      await pause(PROBE_MS);
    }
  })();
  const startedMs = performance.now();
  try {
    await work(hub.url, token);
    seen.tookMs = performance.now() - startedMs;
  } finally {
    working = false;
    await watch;
  }
  return seen;
}

function upload(url: string, token: string, file: string): Promise<void> {
  return new Promise((resolve, reject) => {
    const headers = {
      Authorization: `Bearer ${token}`,
      "Content-Type": "application/vnd.sqlite3",
      "Content-Length": statSync(file).size,
    };
    const sending = request(url, { method: "POST", headers }, (answer) => {
      answer.resume();
      if (answer.statusCode === 202) resolve();
      else reject(new Error(`the site was not taken: ${answer.statusCode}`));
    });
    sending.on("error", reject);
    createReadStream(file).pipe(sending);
  });
}

/** From the kernel (Linux, proc(5)); elsewhere 0. */
function residentMB(pid: number): number {
  const kB = /VmRSS:\s+(\d+) kB/.exec(readText(`/proc/${pid}/status`))?.[1];
  return (Number(kB ?? 0) * 1024) / 1e6;
}

function childrenOf(pid: number): number[] {
  return readText(`/proc/${pid}/task/${pid}/children`).trim().split(" ").filter(Boolean).map(Number);
}

function cpuS(pid: number): number {
  const fields = readText(`/proc/${pid}/stat`).split(") ")[1]?.split(" ") ?? [];
  return (Number(fields[11] ?? 0) + Number(fields[12] ?? 0)) / 100;
}

function readText(file: string): string {
  try {
    return readFileSync(file, "utf8");
  } catch {
    return "";
  }
}
