/** SPEC R1 and R11. */
import fc from "fast-check";
import { describe, expect, test } from "vitest";
import type { SiteEvent } from "../../../shared/run/events.ts";
import { evolve } from "../../../shared/run/evolve.ts";
import { decideFact } from "../../../shared/run/facts/decide-fact.ts";
import type { Order } from "../../../shared/run/orders/commands.ts";
import type { SiteState } from "../../../shared/run/state.ts";
import { upcast } from "../../../shared/run/upcasts.ts";
import { utcMs } from "../../../shared/time/instants.ts";
import { anyFacts, type SentFact } from "./facts.ts";
import { asJson, draft, NORTH_SHORE, replayed, SiteWorld } from "./site-world.ts";

const PLANNED_AT = Date.UTC(2027, 6, 20);

function taken(state: SiteState, facts: readonly SentFact[]): SiteState {
  let now = state;
  for (const [index, { device, fact }] of facts.entries()) {
    const arrives = utcMs(PLANNED_AT + 3_600_000 + index);
    const event = decideFact(now, fact, {
      actor: `rig:${fact.rigId}`,
      commandId: `c${index}`,
      deviceId: device,
      now: arrives,
      linkRevoked: false,
    });
    now = evolve(now, { ...event, seq: now.seq + 1, loggedUtcMs: arrives } as SiteEvent);
  }
  return now;
}

const known = (state: SiteState) => asJson(state.runs);

describe("R1: facts in any order give one state", () => {
  const start = SiteWorld.planned({}, PLANNED_AT).state;

  test("whatever the order of arrival", () => {
    const shuffled = anyFacts(PLANNED_AT + 1000).chain((facts) =>
      fc.tuple(
        fc.constant(facts),
        fc.shuffledSubarray(facts, { minLength: facts.length, maxLength: facts.length }),
      ),
    );
    fc.assert(
      fc.property(shuffled, ([facts, other]) => {
        expect(known(taken(start, other))).toEqual(known(taken(start, facts)));
      }),
      { numRuns: 400 },
    );
  });

  test("however often they arrive", () => {
    fc.assert(
      fc.property(anyFacts(PLANNED_AT + 1000), fc.nat(), (facts, at) => {
        const again = facts[at % facts.length] as SentFact;
        expect(known(taken(start, [...facts, again, ...facts]))).toEqual(known(taken(start, facts)));
      }),
      { numRuns: 150 },
    );
  });

  test("two reports of a program for one instant: off wins, whichever comes first", () => {
    for (const words of [
      ["on", "off"],
      ["off", "on"],
    ] as const) {
      const world = SiteWorld.planned();
      for (const filter of words)
        world.report("west", { filter }, { at: PLANNED_AT + 5, device: "http:west", seq: 0 });
      expect(world.rig("west", PLANNED_AT + 10).filter).toBe("off");
    }
  });

  test("an older word that comes late changes nothing that is newer", () => {
    const world = SiteWorld.planned();
    world.report("west", { cardFreeGB: 10 }, { at: PLANNED_AT + 2000 });
    world.report("west", { cardFreeGB: 50 }, { at: PLANNED_AT + 1000, arrives: PLANNED_AT + 9000 });
    expect(world.rig("west", PLANNED_AT + 9000).cardFreeGB).toBe(10);
  });
});

describe("R11: replay equals live", () => {
  const anyStep = fc.oneof(
    { weight: 5, arbitrary: anyFacts(0).map((facts) => ({ facts })) },
    {
      weight: 4,
      arbitrary: fc
        .constantFrom<Order>(
          { type: "startPractice", anchor: "C2", offsetS: -180, rate: 1 },
          { type: "startPractice", anchor: "C3", offsetS: -5, rate: 20 },
          { type: "endPractice" },
          { type: "call", call: "totality" },
          { type: "call", call: "sun returns" },
          { type: "call", call: "stay filtered" },
          { type: "shiftContact", contact: "c2", shiftS: -7.25 },
          { type: "cover" },
          { type: "releaseCover" },
          { type: "answerHelp", rigId: "west" },
          { type: "revokeLink", rigId: "eye" },
          { type: "sendMessage", text: "Clouds from the west.", rigIds: null },
        )
        .map((order) => ({ order })),
    },
    { weight: 1, arbitrary: fc.constantFrom("moved", "back").map((plan) => ({ plan })) },
    { weight: 2, arbitrary: fc.integer({ min: 1, max: 400 }).map((waitS) => ({ waitS })) },
  );

  test("whatever happened", () => {
    fc.assert(
      fc.property(fc.array(anyStep, { minLength: 1, maxLength: 25 }), (steps) => {
        const world = SiteWorld.planned({}, PLANNED_AT);
        let now = PLANNED_AT + 10_000;
        for (const step of steps) {
          now += 137.5;
          if ("waitS" in step) now += step.waitS * 1000;
          else if ("order" in step) world.order(step.order, now);
          else if ("plan" in step) {
            const site = step.plan === "moved" ? { site: NORTH_SHORE } : {};
            world.order({ type: "savePlan", draft: draft(site), ifRevision: world.state.plan.revision }, now);
          } else {
            for (const { device, fact } of step.facts) {
              world.report(fact.rigId, fact.report, {
                at: now + fact.observedUtcMs,
                device,
                seq: fact.deviceSeq,
                arrives: now + 1000,
              });
            }
          }
        }
        expect(asJson(replayed(world.log, upcast))).toEqual(asJson(world.state));
        expect(world.state.seq).toBe(world.log.length);
      }),
      { numRuns: 120 },
    );
  });

  test("and the live state survives being written down, so that a saved one may stand for its events", () => {
    const world = SiteWorld.planned({}, PLANNED_AT);
    world.practise(PLANNED_AT + 1000);
    world.report("west", { filter: "off", checks: { level: true } }, { at: PLANNED_AT + 2000 });
    expect(asJson(world.state)).toEqual(world.state);
  });
});

test("a practice run keeps when it was started; the real run has no such moment", () => {
  const world = SiteWorld.planned({}, PLANNED_AT);
  const runId = world.practise(PLANNED_AT + 5000);
  expect(world.state.runs[runId]).toMatchObject({ kind: "practice", startedUtcMs: PLANNED_AT + 5000 });
  world.order({ type: "endPractice" }, PLANNED_AT + 9000);
  expect(world.state.runs[runId]).toMatchObject({
    endedUtcMs: expect.any(Number),
    startedUtcMs: PLANNED_AT + 5000,
  });
  expect(world.state.runs[world.state.realRunId]?.startedUtcMs).toBeNull();
});
