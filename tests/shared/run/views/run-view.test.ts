/** A look at some of the rigs, or at some of them anew, gives what a look at all of them gives. */
import { isDeepStrictEqual } from "node:util";
import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { type ClockHealth, GOOD_CLOCK } from "../../../../shared/run/doubt.ts";
import type { Report } from "../../../../shared/run/facts/report-schema.ts";
import type { Order } from "../../../../shared/run/orders/commands.ts";
import { currentRun } from "../../../../shared/run/run-time.ts";
import { NOBODY } from "../../../../shared/run/views/presence.ts";
import { viewRigs, viewRun, viewRunAgain } from "../../../../shared/run/views/run-view.ts";
import { utcMs } from "../../../../shared/time/instants.ts";
import { draft, linkedTo, NORTH_SHORE, PALM_FIELD, RIGS, SiteWorld } from "../site-world.ts";

const S = 1000;
const NOW = Date.UTC(2027, 6, 25);

const FIVE_RIGS = [
  ...RIGS,
  { id: "east", name: "East telescope", kind: "tracked-telescope", focalLengthMm: 480 },
  { id: "video", name: "Video", kind: "video-camera", focalLengthMm: 200 },
];
const IDS = FIVE_RIGS.map(({ id }) => id);

/** What happens to the site, `afterS` seconds after what happened before. */
interface Happening {
  afterS: number;
  what:
    | { rigId: string; device: string; lateS: number; report: Report }
    | { order: Order }
    | { takeBack: true }
    | { clock: ClockHealth }
    | { replan: { north: boolean; burstS: number } };
}

const rigId = fc.constantFrom(...IDS);
const cueId = fc.constantFrom("filter-off", "filter-on", "eyes-away", "burst-before", "partial-before.2");
const report: fc.Arbitrary<Report> = fc.oneof(
  fc.record({ filter: fc.constantFrom("on", "off", "unknown", "capped"), looked: fc.boolean() }),
  fc.record({ cueDone: cueId }),
  fc.record({ cueSkipped: cueId }),
  fc.record({ cueReopened: cueId }),
  fc.record({ sawTotality: fc.boolean() }),
  fc.record({ practiceSafe: fc.boolean(), batteryPct: fc.integer({ min: 0, max: 100 }) }),
  fc.record({ sky: fc.constantFrom("clear", "overcast"), help: fc.boolean() }),
);
const order: fc.Arbitrary<Order> = fc.oneof(
  fc.record({
    type: fc.constant("call" as const),
    call: fc.constantFrom("totality", "sun returns", "stay filtered"),
  }),
  fc.constant({ type: "cover" as const }),
  fc.constant({ type: "releaseCover" as const }),
  fc.constant({ type: "endPractice" as const }),
  fc.record({
    type: fc.constant("startPractice" as const),
    anchor: fc.constantFrom("C2", "C3"),
    offsetS: fc.integer({ min: -120, max: 30 }),
    rate: fc.constantFrom(1, 4),
  }),
  fc.record({
    type: fc.constant("shiftContact" as const),
    contact: fc.constantFrom("c1", "c2", "c3"),
    shiftS: fc.integer({ min: -40, max: 40 }),
  }),
);
const clock: fc.Arbitrary<ClockHealth> = fc.record({
  boundMs: fc.constantFrom(0, 3, 2500),
  hubBoundMs: fc.constantFrom(5, 4000),
  disputed: fc.boolean(),
  slept: fc.boolean(),
});
const happening: fc.Arbitrary<Happening> = fc.record({
  afterS: fc.constantFrom(0, 0.25, 1, 7, 25, 70),
  what: fc.oneof(
    {
      weight: 6,
      arbitrary: fc.record({
        rigId,
        device: fc.constantFrom("a", "b"),
        lateS: fc.constantFrom(0, 4, 90),
        report,
      }),
    },
    { weight: 4, arbitrary: fc.record({ order }) },
    { weight: 2, arbitrary: fc.constant({ takeBack: true as const }) },
    { weight: 1, arbitrary: fc.record({ clock }) },
    {
      weight: 1,
      arbitrary: fc.record({
        replan: fc.record({ north: fc.boolean(), burstS: fc.integer({ min: -30, max: -5 }) }),
      }),
    },
  ),
});

function happen(world: SiteWorld, { what }: Happening, now: number): void {
  if ("report" in what)
    world.report(what.rigId, what.report, {
      at: now - what.lateS * S,
      device: `${what.device}-${what.rigId}`,
      arrives: now,
    });
  else if ("order" in what) world.order(what.order, now);
  else if ("takeBack" in what) {
    const last = currentRun(world.state, utcMs(now)).calls.findLast(({ takenBack }) => !takenBack);
    if (last) world.order({ type: "takeBackCall", callId: last.callId }, now);
  } else if ("clock" in what) world.clock = what.clock;
  else {
    const { plan } = world.state;
    const rigs = plan.rigs.map((rig) => ({
      ...rig,
      cues: rig.cues.map((cue) =>
        cue.id === "burst-before" ? { ...cue, offsetS: what.replan.burstS } : cue,
      ),
    }));
    const site = what.replan.north ? NORTH_SHORE : PALM_FIELD;
    const saved = { eclipse: plan.eclipse ?? undefined, site, rigs };
    world.order({ type: "savePlan", draft: draft(saved), ifRevision: plan.revision }, now);
  }
}

describe("a look at chosen rigs", () => {
  test("is the look at the whole site less the other rigs, whatever happened and was looked at before", () => {
    const planned = SiteWorld.planned({ rigs: FIVE_RIGS });
    const seen = { looks: 0, replans: 0, takenBack: 0, states: new Set<string>(), modes: new Set<string>() };
    fc.assert(
      fc.property(
        fc.integer({ min: -200, max: 200 }),
        fc.array(happening, { minLength: 1, maxLength: 20, size: "max" }),
        fc.subarray([...IDS, "nobody", "constructor"]),
        fc.record({
          cover: fc.boolean(),
          revoked: fc.subarray(IDS, { maxLength: 2 }),
          elsewhere: fc.boolean(),
        }),
        fc.subarray(IDS),
        (fromC2S, happenings, chosen, own, linked) => {
          const world = Object.assign(new SiteWorld(), { state: planned.state });
          const presence = linkedTo(...linked);
          let now = world.predicted.c2 + fromC2S * S;
          for (const one of happenings) {
            now += one.afterS * S;
            happen(world, one, now);
            const at = utcMs(now);
            const some = viewRigs(chosen, world.state, presence, world.clock, at, own);
            // Of a copy nothing can be remembered from an earlier look.
            const whole = viewRun(structuredClone(world.state), presence, world.clock, at, own);
            const wanted = { ...whole, rigs: whole.rigs.filter(({ rig }) => chosen.includes(rig.id)) };
            if (!isDeepStrictEqual(some, wanted)) expect(some).toStrictEqual(wanted);
            seen.looks++;
            if (whole.run.calls.some(({ takenBack }) => takenBack)) seen.takenBack++;
            for (const { state, mode } of whole.rigs.flatMap(({ cues }) => cues)) {
              seen.states.add(state);
              seen.modes.add(mode);
            }
          }
          if (world.state.plan.revision > 1) seen.replans++;
        },
      ),
      { numRuns: 30 },
    );
    // The property is worth something only where much has been seen.
    expect(seen.looks).toBeGreaterThan(100);
    expect(seen.replans).toBeGreaterThan(0);
    expect(seen.takenBack).toBeGreaterThan(0);
    expect([...seen.states].sort()).toEqual(["ahead", "done", "late", "next", "now", "skipped"]);
    expect(seen.modes.size).toBeGreaterThan(3);
  });

  test("keeps the order of the plan and passes over ids that it does not know", () => {
    const world = SiteWorld.planned();
    const view = viewRigs(["wide", "constructor", "west"], world.state, NOBODY, GOOD_CLOCK, utcMs(NOW));
    expect(view.rigs.map(({ rig }) => rig.id)).toEqual(["west", "wide"]);
  });
});

describe("a look at those alone that have reported since", () => {
  const look = ({ state }: SiteWorld, at: number) => viewRun(state, NOBODY, GOOD_CLOCK, utcMs(at));
  const again = (before: { world: SiteWorld; at: number }, ids: string[], { state }: SiteWorld, at: number) =>
    viewRunAgain(
      { plan: before.world.state.plan, view: look(before.world, before.at) },
      new Set(ids),
      state,
      NOBODY,
      GOOD_CLOCK,
      utcMs(at),
    );

  test("gives the same as a look at everything, at the same instant", () => {
    const world = SiteWorld.planned();
    const { c2 } = world.predicted;
    for (const at of [c2 - 3600 * S, c2 - 10 * S, c2 + 20 * S]) {
      const before = { world: Object.assign(new SiteWorld(), { state: world.state }), at };
      world.report("west", { filter: "off", cardFreeGB: 3 }, { at });
      expect(again(before, ["west"], world, at)).toEqual(look(world, at));
    }
  });

  test("leaves the others as they were, and looks at all of another plan or run", () => {
    const world = SiteWorld.planned();
    const before = { world: Object.assign(new SiteWorld(), { state: world.state }), at: NOW };
    world.report("west", { cardFreeGB: 3 }, { at: NOW });
    world.report("wide", { cardFreeGB: 4 }, { at: NOW });
    const cards = (rigs: ReturnType<typeof look>["rigs"]) =>
      rigs.map(({ rig, cardFreeGB }) => `${rig.id} ${cardFreeGB}`).join(", ");
    expect(cards(again(before, ["west"], world, NOW).rigs)).toBe("west 3, eye null, wide null");
    world.practise(NOW);
    expect(cards(again(before, [], world, NOW + S).rigs)).toBe("west 3, eye null, wide 4");
  });
});
