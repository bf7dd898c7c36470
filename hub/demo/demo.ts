/**
 * `--demo`: an invented site on a real path, six rigs with simulated operators, and a practice
 * run that starts four minutes before totality and begins again by itself. The operators come in
 * over real sockets like any phone; only the practice is started from within.
 *
 * A practice that a lead starts is left alone until it is over or ended.
 */
import { ownValue } from "../../shared/fields/own-key.ts";
import { contactsOf } from "../../shared/run/effective-contacts.ts";
import type { Order } from "../../shared/run/orders/commands.ts";
import { currentRun, practiceAt, runTime } from "../../shared/run/run-time.ts";
import { newId } from "../new-id.ts";
import { Operator } from "../people/operator.ts";
import type { RunningHub } from "../run-hub.ts";
import { demoPlan } from "./demo-plan.ts";
import { PEOPLE } from "./people.ts";

const LOOK_MS = 1000;
/** Where the practice starts, and how long after C3 it begins again, seconds. */
const START_S = -240;
const AGAIN_S = 110;
/** After a practice was ended, a new one starts this much later, ms. */
const PAUSE_MS = 30_000;
/** A practice that was refused (the real eclipse is near) is tried again after this, ms. */
const RETRY_MS = 60_000;

export async function startDemo(running: RunningHub): Promise<{ close(): Promise<void> }> {
  const { keeper, keys, clock } = running.hub.parts;
  const order = (body: Order) => keeper.order("demo", "demo", newId(), body);

  if (keeper.state.plan.site === null) {
    const saved = await order({
      type: "savePlan",
      draft: demoPlan(clock.now()),
      ifRevision: keeper.state.plan.revision,
    });
    if (!saved.ok) throw new Error(`the demo's plan was refused: ${saved.refusal.message}`);
  }

  const url = await ownUrl(running);
  const operators = PEOPLE.map((person) => new Operator(person, url));
  let ownRunId = "";
  let notBefore = 0;

  const begin = async (): Promise<void> => {
    notBefore = clock.now() + RETRY_MS;
    const answer = await order({ type: "startPractice", anchor: "C2", offsetS: START_S, rate: 1 });
    if (!answer.ok) return console.error(`The demo's practice cannot start: ${answer.refusal.message}.`);
    ownRunId = practiceAt(keeper.state, clock.now())?.runId ?? "";
    const { rigs } = keeper.state.plan;
    for (const operator of operators) {
      if (!rigs.some((rig) => rig.id === operator.rigId)) continue;
      operator.join(keys.rigToken(operator.rigId, ownValue(keeper.state.generations, operator.rigId) ?? 0));
    }
  };
  const look = (): void => {
    const now = clock.now();
    const practice = practiceAt(keeper.state, now);
    // In the pause of a lead's programme the demo waits, too.
    if (practice === null && running.hub.parts.practice.status().nextAtUtcMs !== null) return;
    if (practice === null) {
      if (ownRunId !== "") notBefore = now + PAUSE_MS;
      ownRunId = "";
      if (now >= notBefore) void begin();
      return;
    }
    const { c3 } = contactsOf(keeper.state, currentRun(keeper.state, now));
    const over = c3 !== null && runTime(practice, now) > c3 + AGAIN_S * 1000;
    if (practice.runId === ownRunId && over && now >= notBefore) void begin();
  };

  await begin();
  const timer = setInterval(look, LOOK_MS);
  return {
    async close() {
      clearInterval(timer);
      for (const operator of operators) operator.leave();
    },
  };
}

/** How this process reaches its own hub: by loopback, or where --host bound it to. */
async function ownUrl({ port, urls }: RunningHub): Promise<string> {
  const loopback = `http://127.0.0.1:${port}`;
  try {
    const answer = await fetch(`${loopback}/api/health`, { signal: AbortSignal.timeout(2000) });
    if (((await answer.json()) as { status?: unknown }).status === "ok") return loopback;
  } catch {
    // Not there.
  }
  return urls[0] ?? loopback;
}
