/** A site with a million events: how long the hub waits for its log, and what a look-up costs. */
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { openLog } from "../../hub/log/site-folder.ts";
import { utcMs } from "../../shared/time/instants.ts";

const EVENTS = 1_000_000;
const BATCH = 1000;
const AFTER_SNAPSHOT = 500;

export async function run(): Promise<Array<{ figure: string; value: number; unit: string }>> {
  const folder = mkdtempSync(join(tmpdir(), "noonfall-bench-"));
  try {
    const writeMs = await fill(folder);
    const startedMs = performance.now();
    const log = openLog(folder, "site");
    const snapshot = log.loadSnapshot(1);
    const tail = [...log.read({ afterSeq: snapshot?.seq ?? 0 })];
    const openMs = performance.now() - startedMs;
    if (log.lastSeq() !== EVENTS || tail.length !== AFTER_SNAPSHOT) throw new Error("events are missing");

    const findStartedMs = performance.now();
    for (let n = 1; n <= 1000; n++) {
      if (!log.findCommand("rig:west", `c${n * 997}`)) throw new Error(`command ${n * 997} is missing`);
    }
    const findMs = (performance.now() - findStartedMs) / 1000;
    const readStartedMs = performance.now();
    let count = 0;
    for (const _event of log.read()) count++;
    const readMs = performance.now() - readStartedMs;
    if (count !== EVENTS) throw new Error("not every event was read");
    await log.close();
    return [
      { figure: "log of a million events: write, commits of 1000", value: writeMs, unit: "ms" },
      { figure: "log of a million events: open with snapshot", value: openMs, unit: "ms" },
      { figure: "log of a million events: find a command", value: findMs, unit: "ms" },
      { figure: "log of a million events: read all", value: readMs, unit: "ms" },
      { figure: "memory after reading them", value: process.memoryUsage().rss / 1e6, unit: "MB" },
    ];
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}

async function fill(folder: string): Promise<number> {
  const log = openLog(folder, "site");
  const startedMs = performance.now();
  for (let first = 1; first <= EVENTS; first += BATCH) {
    const appends = Array.from({ length: BATCH }, (_, index) => {
      const seq = first + index;
      const event = {
        seq,
        runId: seq % 10 ? "real" : "practice",
        type: "filterReported",
        v: 1,
        actor: "rig:west",
        commandId: `c${seq}`,
        observedUtcMs: utcMs(1_817_000_000_000 + seq),
        boundMs: 2,
        deviceId: "device-1",
        deviceSeq: seq,
        loggedUtcMs: utcMs(1_817_000_000_000 + seq),
        payload: { rigId: "west", filter: "off", note: "invented for the bench" },
      };
      return log.append({
        sender: "rig:west",
        commandId: event.commandId,
        bodyHash: "0".repeat(64),
        answer: { ok: true, seq },
        events: [event],
      });
    });
    await Promise.all(appends);
    if (first + BATCH - 1 === EVENTS) log.saveSnapshot(1, EVENTS - AFTER_SNAPSHOT, { rigs: ["west"] });
  }
  await log.close();
  return performance.now() - startedMs;
}
