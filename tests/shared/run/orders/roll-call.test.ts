/** Roll call, messages and their receipts: who has answered, who has seen what. */
import { describe, expect, it } from "vitest";
import { missedAmong, missedBetween } from "../../../../shared/link/missed-orders.ts";
import { currentRun } from "../../../../shared/run/run-time.ts";
import type { RollCall } from "../../../../shared/run/state.ts";
import { rollAnswers } from "../../../../shared/run/views/roll-answers.ts";
import { utcMs } from "../../../../shared/time/instants.ts";
import { SiteWorld } from "../site-world.ts";

const S = 1000;

function called(withinS = 60, rigIds: string[] | null = null) {
  const world = SiteWorld.planned();
  const at = world.predicted.c1 - 3600 * S;
  world.order({ type: "callRoll", rigIds, withinS }, at);
  const answers = () =>
    rollAnswers(world.state, currentRun(world.state, utcMs(at + 1)), world.state.roll as RollCall);
  return { world, at, answers };
}

describe("a roll call", () => {
  it("asks every rig, or those that are named, and nobody has answered at first", () => {
    const { world, answers } = called();
    expect(answers().map(({ rigId, ready }) => [rigId, ready])).toEqual(
      world.state.plan.rigs.map(({ id }) => [id, null]),
    );
    expect(called(60, ["west"]).answers()).toHaveLength(1);
  });

  it("is answered by ready, or by what is lacking; a word from before it is no answer", () => {
    const { world, at, answers } = called();
    world.report("west", { ready: "ready" }, { at: at - S });
    expect(answers().find(({ rigId }) => rigId === "west")?.ready).toBeNull();
    world.report("west", { ready: "focus" }, { at: at + 5 * S });
    world.report("eye", { ready: "ready" }, { at: at + 61 * S });
    const of = (id: string) => answers().find(({ rigId }) => rigId === id);
    expect(of("west")).toMatchObject({ ready: "focus", late: false, atUtcMs: at + 5 * S });
    expect(of("eye")).toMatchObject({ ready: "ready", late: true });
  });

  it("takes the newest word, in whatever order the words arrive", () => {
    const { world, at, answers } = called();
    world.report("west", { ready: "ready" }, { at: at + 20 * S });
    world.report("west", { ready: "power" }, { at: at + 10 * S, arrives: at + 30 * S });
    expect(answers().find(({ rigId }) => rigId === "west")?.ready).toBe("ready");
  });

  it("names rigs of the plan, and waits ten seconds at least", () => {
    const { world, at } = called();
    expect(world.order({ type: "callRoll", rigIds: ["nobody"], withinS: 60 }, at)).toMatchObject({
      refusal: { code: "not-found", field: "rigIds" },
    });
  });

  // SPEC L3: orders are never delivered late.
  it("that came while a phone was away is one order missed, for rigs that it concerns", () => {
    const { world } = called(60, ["west"]);
    const id = world.state.roll?.rollId;
    expect(missedAmong(world.log, 0, ["west"])).toEqual([{ id, runId: world.state.realRunId }]);
    expect(missedAmong(world.log, 0, ["eye"])).toEqual([]);
    expect(missedBetween(SiteWorld.planned().state, world.state, ["west"])).toEqual([
      { id, runId: world.state.realRunId },
    ]);
    expect(missedBetween(world.state, world.state, ["west"])).toEqual([]);
  });
});

describe("a message", () => {
  it("is seen by the rigs whose phones say so, since they first showed it", () => {
    const world = SiteWorld.planned();
    const at = world.predicted.c1 - 3600 * S;
    world.order({ type: "sendMessage", text: "Wind.", rigIds: ["west", "eye"], urgent: true }, at);
    const [message] = world.state.messages;
    expect(message).toMatchObject({ urgent: true, seenBy: {} });
    const seen = { messageSeen: message?.messageId ?? "" };
    world.report("west", seen, { at: at + 9 * S });
    world.report("west", seen, { at: at + 4 * S, arrives: at + 20 * S });
    world.report("eye", { messageSeen: "another" }, { at: at + 5 * S });
    expect(world.state.messages[0]?.seenBy).toEqual({ west: at + 4 * S });
  });
});

describe("a lead who stands at a rig whose operator is gone", () => {
  it("says of its cue what the operator would have said, and by that what its filter is", () => {
    const world = SiteWorld.planned();
    const { c2, c3 } = world.predicted;
    world.report("west", { filter: "off" }, { at: c2 });
    const at = c3 + 6 * S;
    expect(world.rig("west", at).filter).toBe("off");
    const done = world.order({ type: "markCue", rigId: "west", cueId: "filter-on", mark: "done" }, at);
    expect(done).not.toHaveProperty("refusal");
    expect(world.rig("west", at + S).filter).toBe("on");
    expect(world.log.at(-1)).toMatchObject({ type: "rigReported", actor: "lead:Ada" });
  });

  it("of a rig and a cue that the plan knows", () => {
    const world = SiteWorld.planned();
    const at = world.predicted.c2;
    for (const [rigId, cueId] of [
      ["nobody", "filter-on"],
      ["west", "nothing"],
    ] as const)
      expect(world.order({ type: "markCue", rigId, cueId, mark: "done" }, at)).toMatchObject({
        refusal: { code: "not-found", field: rigId === "nobody" ? "rigId" : "cueId" },
      });
  });
});
