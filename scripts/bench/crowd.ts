/**
 * The crowd: hub, Redis, two relays and nginx as real processes, simulated visitors through C2 and C3
 * (tests/support/crowd-load.ts). NOONFALL_VISITORS=5000 in the environment: so many instead of 2,000.
 * The visitors live in this process and cost it more than they cost what serves them.
 */
import { arrivals, benchPlan, gather } from "./hub/clients.ts";

type Figure = { figure: string; value: number; unit: string };

const RIGS = 20;
const REPORT_EVERY_MS = 500;
const REPORTS_PER_RIG = 24;

export async function run(): Promise<Figure[]> {
  const { crowdLoad } = await import(new URL("../../tests/support/crowd-load.ts", import.meta.url).href);
  const visitors = Number(process.env.NOONFALL_VISITORS ?? 2000);
  if (!Number.isInteger(visitors) || visitors < 1 || visitors > 20_000)
    throw new Error("NOONFALL_VISITORS must be a whole number from 1 to 20000");
  const plan = benchPlan(RIGS);
  Object.assign(plan.site, { confirmed: true });
  return crowdLoad({ visitors, reports, plan });
}

/** Reports of twenty rigs, twice a second each, and how long until the lead's console has them, ms. */
async function reports(url: string, token: string): Promise<{ p50: number; p99: number }> {
  const crowd = await gather(url, token, RIGS, 0);
  const sending = arrivals(crowd.lead);
  const { utcMs } = (await (await fetch(`${url}/api/time`)).json()) as { utcMs: number };
  const since = performance.now();
  await Promise.all(
    crowd.rigs.map(async (rig, n) => {
      await pause(Math.random() * REPORT_EVERY_MS);
      for (let k = 0; k < REPORTS_PER_RIG; k++) {
        const id = `report-${n}-${k}-${since}`;
        const observedUtcMs = utcMs + performance.now() - since;
        const report = { batteryPct: k };
        const fact = {
          v: 1,
          rigId: `rig-${n}`,
          deviceSeq: Math.round(since) + k,
          observedUtcMs,
          report,
        } as const;
        sending.sent(id);
        rig.emit("facts", [{ id, fact }], () => undefined);
        await pause(REPORT_EVERY_MS);
      }
    }),
  );
  await pause(1500);
  crowd.close();
  const sorted = sending.all().sort((a, b) => a - b);
  const at = (share: number) => Math.round((sorted[Math.floor((sorted.length - 1) * share)] ?? 0) * 10) / 10;
  return { p50: at(0.5), p99: at(0.99) };
}

function pause(ms: number): Promise<void> {
  return new Promise((resolve) => setTimeout(resolve, ms));
}
