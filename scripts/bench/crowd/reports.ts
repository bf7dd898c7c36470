/**
 * Reports of twenty rigs, twice a second each, and how long until a lead's console has them: a process
 * of its own, so that nothing which another measures or simulates is taken for the hub's slowness.
 * Arguments: the hub's address, a lead's token. Told "block" it measures for BLOCK_S and answers with what
 * each report took, ms.
 */
import { arrivals, gather } from "../hub/clients.ts";

const RIGS = 20;
const BLOCK_S = 10;
const EVERY_MS = 500;
const LAST_ARRIVE_MS = 1500;

const [url = "", token = ""] = process.argv.slice(2);
const crowd = await gather(url, token, RIGS, 0);
let blocks = 0;
let seq = 0;

async function block(): Promise<number[]> {
  const name = ++blocks;
  const sending = arrivals(crowd.lead);
  const { utcMs } = (await (await fetch(`${url}/api/time`)).json()) as { utcMs: number };
  const sinceMs = performance.now();
  await Promise.all(
    crowd.rigs.map(async (rig, n) => {
      await pause(Math.random() * EVERY_MS);
      for (let k = 0; k < (BLOCK_S * 1000) / EVERY_MS; k++) {
        const id = `report-${name}-${n}-${k}`;
        const observedUtcMs = utcMs + performance.now() - sinceMs;
        const fact = {
          v: 1,
          rigId: `rig-${n}`,
          deviceSeq: ++seq,
          observedUtcMs,
          report: { batteryPct: k },
        } as const;
        sending.sent(id);
        rig.emit("facts", [{ id, fact }], () => undefined);
        await pause(EVERY_MS);
      }
    }),
  );
  await pause(LAST_ARRIVE_MS);
  return sending.all();
}

function pause(ms: number): Promise<void> {
  return new Promise((resolve) => setTimeout(resolve, ms));
}

process.on("message", () => void block().then((took) => process.send?.(took)));
process.on("disconnect", () => process.exit(0));
process.send?.([]);
