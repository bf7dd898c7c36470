/** Many events folded at once give what they give one by one, and change nothing they were given. */
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import type { SiteEvent } from "../../../shared/run/events.ts";
import { evolve, fold } from "../../../shared/run/evolve.ts";
import type { Order } from "../../../shared/run/orders/commands.ts";
import { EMPTY_STATE, type SiteState } from "../../../shared/run/state.ts";
import { anyFacts, type SentFact } from "./facts.ts";
import { SiteWorld } from "./site-world.ts";

const NOW = Date.UTC(2027, 6, 20);

const ORDERS: readonly Order[] = [
  { type: "startPractice", anchor: "C2", offsetS: -180, rate: 1 },
  { type: "endPractice" },
  { type: "call", call: "stay filtered" },
  { type: "call", call: "sun returns" },
  { type: "shiftContact", contact: "c3", shiftS: 4 },
  { type: "cover" },
  { type: "releaseCover" },
  { type: "answerHelp", rigId: "west" },
  { type: "revokeLink", rigId: "eye" },
  { type: "sendMessage", text: "Wind", rigIds: null },
];

type Step = { facts: SentFact[] } | { order: Order };
const anyStep: fc.Arbitrary<Step> = fc.oneof(
  { weight: 3, arbitrary: anyFacts(NOW + 1000).map((facts) => ({ facts })) },
  { weight: 2, arbitrary: fc.constantFrom(...ORDERS).map((order) => ({ order })) },
);

/** The log of a site that lived through these steps; what is refused leaves nothing. */
function logOf(steps: readonly Step[]): SiteEvent[] {
  const world = SiteWorld.planned({}, NOW);
  let now = NOW + 2000;
  for (const step of steps) {
    now += 1000;
    if ("order" in step) world.order(step.order, now);
    else
      for (const { device, fact } of step.facts) {
        const { observedUtcMs: at, deviceSeq: seq, rigId, report } = fact;
        world.report(rigId, report, { at, device, seq, arrives: now });
      }
  }
  return world.log;
}

function frozen<Value>(value: Value): Value {
  if (typeof value === "object" && value !== null && !Object.isFrozen(value)) {
    Object.freeze(value);
    for (const inner of Object.values(value)) frozen(inner);
  }
  return value;
}

describe("fold", () => {
  it("gives what evolve gives one by one, however the events are put into batches", () => {
    fc.assert(
      fc.property(
        fc.array(anyStep, { maxLength: 12 }),
        fc.array(fc.nat(30), { maxLength: 6 }),
        (steps, sizes) => {
          const events = frozen(logOf(steps));
          const oneByOne = events.reduce(evolve, frozen(EMPTY_STATE));
          let batched: SiteState = EMPTY_STATE;
          let from = 0;
          for (const size of [...sizes, events.length]) {
            batched = frozen(fold(batched, events.slice(from, from + size)));
            from = Math.min(events.length, from + size);
          }
          expect(batched).toEqual(oneByOne);
          // Also in the order of the keys: a saved state is compared as text.
          expect(JSON.stringify(batched)).toBe(JSON.stringify(oneByOne));
        },
      ),
      { numRuns: 150 },
    );
  });

  it("leaves the state it begins with as it is, and no events leave it the same", () => {
    const events = logOf([{ order: { type: "cover" } }]);
    const before = frozen(fold(EMPTY_STATE, events));
    const text = JSON.stringify(before);
    fold(before, [{ ...(events[0] as SiteEvent), seq: before.seq + 1 }]);
    expect(JSON.stringify(before)).toBe(text);
    expect(fold(before, [])).toBe(before);
  });
});
