/**
 * How long what people do at a big site holds the hub's loop (saves of the plan: plan.ts), with sixty
 * rigs and a phone on each; and what is read of a log of a million events.
 */
import { PROTOCOL } from "../../shared/protocol/version.ts";
import type { Order } from "../../shared/run/orders/commands.ts";
import { EVENTS, writeMillion } from "./hub/million.ts";
import { longestTurn, pause, percentile, planOf, type Watched, withWatchedHub } from "./hub/watched-hub.ts";

type Figure = { figure: string; value: number; unit: string };

const RIGS = 60;
const TIMES = 15;
/** Before, which only warm the machine up. */
const WARM = 3;
const READ = [
  "/api/log.json",
  "/api/log.csv",
  "/api/review?run=real-2027-08-02",
  "/api/alerts/rate",
  "/api/run",
];

export async function run(): Promise<Figure[]> {
  return [
    ...(await withWatchedHub(RIGS, atWork)),
    ...(await withWatchedHub(null, reading, (folder) => writeMillion(folder, true))),
  ];
}

async function atWork({ client }: Watched): Promise<Figure[]> {
  const send = (method: string, path: string, body?: unknown) => async () => {
    await client({ do: "prepare", method, path, body: body && JSON.stringify(body), headers: {} });
    return () => client({ do: "go" });
  };
  const order = (give: (n: number) => Order) => async (n: number) => {
    await client({ do: "order", id: `${give(n).type}-${n}`, order: give(n) });
    return () => client({ do: "go" });
  };
  const acts: [string, (n: number) => Promise<() => Promise<unknown>>][] = [
    [
      "another sky chosen for the site",
      order((n) => ({ type: "chooseVariant", variant: n % 2 ? "clear" : "thin", rigIds: null })),
    ],
    ["a message to all", order((n) => ({ type: "sendMessage", text: `Hello ${n}`, rigIds: null }))],
    ["a lead who comes in", async (n) => () => client({ do: "lead comes in", n, protocol: PROTOCOL })],
    ["the plan read", async () => () => client({ do: "read", path: "/api/plan" })],
    ["the run read", async () => () => client({ do: "read", path: "/api/run" })],
    ["a plan checked", send("POST", "/api/plan/check", planOf(RIGS))],
    ["a practice begun", send("POST", "/api/practice", { anchor: "C2", offsetS: -180, rate: 1 })],
  ];
  const figures: Figure[] = [];
  for (const [what, act] of acts) figures.push(...(await held(`${what}, ${RIGS} rigs and phones`, act)));
  return figures;
}

async function reading({ client }: Watched): Promise<Figure[]> {
  const figures: Figure[] = [];
  for (const path of READ) {
    const heldMs = await longestTurn(() => client({ do: "read", path }));
    figures.push({ figure: `GET ${path} with ${EVENTS} events: loop held`, value: heldMs, unit: "ms" });
  }
  return figures;
}

async function held(
  what: string,
  prepare: (n: number) => Promise<() => Promise<unknown>>,
): Promise<Figure[]> {
  const values: number[] = [];
  for (let n = 0; n < WARM + TIMES; n++) {
    const act = await prepare(n);
    await pause(120);
    values.push(await longestTurn(act));
  }
  const counted = values.slice(WARM);
  return [50, 90].map((p) => ({
    figure: `${what}: loop held, ${p === 50 ? `median of ${TIMES}` : `p${p}`}`,
    value: percentile(counted, p),
    unit: "ms",
  }));
}
