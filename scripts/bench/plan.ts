/**
 * Saving the plan of a big site: the event that one edited cue makes, how long the hub's loop is
 * held by a save (parsing, deciding, writing and telling sixty phones included), and a whole plan
 * of a hundred rigs in one request. What "held" means: hub/watched-hub.ts.
 */
import type { Edit } from "../../shared/plan/model/edit.ts";
import type { Plan } from "../../shared/plan/model/plan.ts";
import {
  longestTurn,
  pause,
  percentile,
  planOf,
  round,
  type Watched,
  withWatchedHub,
} from "./hub/watched-hub.ts";

type Figure = { figure: string; value: number; unit: string };

const RIGS = 60;
const SAVES = 40;
const WHOLE_SAVES = 9;
/** Saves before, which only warm the machine up. */
const WARM = 10;
const BETWEEN_MS = 50;
const BRACKETS_S = [
  1 / 2000,
  1 / 1000,
  1 / 500,
  1 / 250,
  1 / 125,
  1 / 60,
  1 / 30,
  1 / 15,
  1 / 8,
  1 / 4,
  1 / 2,
  1,
];

export function run(): Promise<Figure[]> {
  return withWatchedHub(RIGS, async (bench) => [
    ...(await oneCueOfARig(bench)),
    ...(await oneCueByPut(bench)),
    ...(await siteMoved(bench)),
    ...(await wholePlan(bench)),
  ]);
}

function putPlan({ client }: Watched, plan: unknown): Promise<unknown> {
  const headers = { "If-Match": "*" };
  return client({ do: "prepare", method: "PUT", path: "/api/plan", body: JSON.stringify(plan), headers });
}

/** One cue moved by a lead at the rig's page. */
async function oneCueOfARig(bench: Watched): Promise<Figure[]> {
  const saves = await savesOf(bench, (n) => {
    const move = { rigId: `rig-${n % RIGS}`, cueId: "corona-brackets", offsetS: 9 + (n % 5) };
    return bench.client({ do: "prepare rig", ...move });
  });
  return figuresOf(`one cue moved at its rig, ${RIGS} rigs and phones`, saves);
}

/** The whole site goes to other times: every rig is settled anew. */
async function siteMoved(bench: Watched): Promise<Figure[]> {
  const saves = await savesOf(bench, (n) => bench.client({ do: "prepare move", latDeg: 25.5 + n / 1000 }));
  return figuresOf(`site moved, ${RIGS} rigs and phones`, saves);
}

/** One cue moved by a program that reads the whole plan and puts it back. */
async function oneCueByPut(bench: Watched): Promise<Figure[]> {
  const saves = await savesOf(bench, (n) => {
    const move = { rig: n % RIGS, cueId: "corona-brackets", offsetS: 14 + (n % 5) };
    return bench.client({ do: "prepare plan", ...move });
  });
  return figuresOf(`one cue moved by PUT /api/plan, ${RIGS} rigs and phones`, saves);
}

interface Save {
  heldMs: number;
  bytes: number;
  tookMs: number;
}

async function savesOf(bench: Watched, prepare: (n: number) => Promise<unknown>): Promise<Save[]> {
  const saves: Save[] = [];
  for (let n = 0; n < WARM + SAVES; n++) {
    await prepare(n);
    await pause(BETWEEN_MS);
    saves.push(await oneSave(bench));
  }
  return saves.slice(WARM);
}

async function oneSave({ client, hub, log }: Watched): Promise<Save> {
  const afterSeq = hub.parts.keeper.state.seq;
  let tookMs = Number.NaN;
  const heldMs = await longestTurn(async () => {
    tookMs = (await client({ do: "go" })).tookMs;
  });
  const bytes = [...log.read({ afterSeq })].map((event) => Buffer.byteLength(JSON.stringify(event)));
  return { heldMs, bytes: Math.max(0, ...bytes), tookMs };
}

function figuresOf(which: string, saves: readonly Save[]): Figure[] {
  const held = saves.map(({ heldMs }) => heldMs);
  return [
    { figure: `${which}: largest event`, value: Math.max(...saves.map(({ bytes }) => bytes)), unit: "B" },
    { figure: `${which}: loop held, median of ${saves.length}`, value: percentile(held, 50), unit: "ms" },
    { figure: `${which}: loop held, p90`, value: percentile(held, 90), unit: "ms" },
  ];
}

/** A hundred rigs of which every cue has camera settings, and twenty edits in each variant. */
async function wholePlan(bench: Watched): Promise<Figure[]> {
  await putPlan(bench, planOf(100));
  await bench.client({ do: "go" });
  const saves: Save[] = [];
  let bytes = 0;
  for (let n = 0; n < WHOLE_SAVES; n++) {
    const plan = fullPlan(bench.hub.parts.keeper.state.plan, 200 + 100 * (n % 2));
    bytes = JSON.stringify(plan).length;
    await putPlan(bench, plan);
    await pause(1000);
    saves.push(await oneSave(bench));
  }
  const which = `PUT /api/plan of 100 rigs with camera settings and three variants, ${Math.round(bytes / 1000)} kB`;
  const took = saves.map(({ tookMs }) => tookMs);
  return [
    ...figuresOf(which, saves),
    { figure: `${which}: answered after, median`, value: round(percentile(took, 50)), unit: "ms" },
    { figure: `${which}: loop held by the first`, value: saves[0]?.heldMs ?? Number.NaN, unit: "ms" },
  ];
}

function fullPlan(of: Plan, iso: number): Plan {
  const plan = structuredClone(of);
  for (const rig of plan.rigs) {
    for (const cue of rig.cues) cue.camera = { exposuresS: BRACKETS_S, iso, fNumber: 5.6 };
    const open = rig.cues.filter(({ action }) => action !== "filter-on" && action !== "cap").slice(0, 10);
    const edits = open.flatMap(({ id }): Edit[] => [
      { do: "say", cueId: id, say: "Wait for a hole in the cloud, then go on." },
      { do: "camera", cueId: id, camera: { exposuresS: BRACKETS_S, iso: 2 * iso, fNumber: 4 } },
    ]);
    rig.variants = { thin: edits, broken: edits, overcast: edits };
  }
  return plan;
}
