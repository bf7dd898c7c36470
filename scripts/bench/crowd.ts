/**
 * The crowd: hub, Redis, two relays and nginx as real processes, simulated visitors through ten minutes of
 * practice across C2 and C3, blocks with and without them, and C2 and C3 of a real run
 * (tests/support/crowd-load.ts); some seventeen minutes. NOONFALL_VISITORS=500 in the environment: so many
 * instead of 5,000. The visitors cost this machine more than they cost what serves them.
 */
import { fork } from "node:child_process";
import { fileURLToPath } from "node:url";
import { benchPlan } from "./hub/clients.ts";

type Figure = { figure: string; value: number; unit: string };

const RIGS = 20;
const ROUNDS = 6;
const REPORTS = fileURLToPath(new URL("./crowd/reports.ts", import.meta.url));

export async function run(): Promise<Figure[]> {
  const { crowdLoad } = await import(new URL("../../tests/support/crowd-load.ts", import.meta.url).href);
  const visitors = Number(process.env.NOONFALL_VISITORS ?? 5000);
  if (!Number.isInteger(visitors) || visitors < 1 || visitors > 20_000)
    throw new Error("NOONFALL_VISITORS must be a whole number from 1 to 20000");
  const plan = benchPlan(RIGS);
  Object.assign(plan.site, { confirmed: true });
  return crowdLoad({ visitors, rounds: ROUNDS, reporter, plan });
}

/** The process that reports (crowd/reports.ts), once a block. */
function reporter(url: string, token: string) {
  const child = fork(REPORTS, [url, token], { execArgv: ["--import", "tsx"] });
  const answer = () =>
    new Promise<number[]>((resolve, reject) => {
      const ended = () => reject(new Error("the process that reports has ended"));
      child.once("exit", ended);
      child.once("message", (took) => {
        child.off("exit", ended);
        resolve(took as number[]);
      });
    });
  const ready = answer();
  return {
    async block() {
      await ready;
      child.send("block");
      return answer();
    },
    end: () => void child.kill("SIGKILL"),
  };
}
