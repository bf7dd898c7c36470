/** S9 (SPEC R6). */
import { describe, expect, test } from "vitest";
import type { RigDraft } from "../../../../shared/plan/model/plan.ts";
import type { Report } from "../../../../shared/run/facts/report-schema.ts";
import { decide } from "../../../../shared/run/orders/decide.ts";
import { utcMs } from "../../../../shared/time/instants.ts";
import { draft, NORTH_SHORE, RIGS, SiteWorld } from "../site-world.ts";

const NOW = Date.UTC(2027, 6, 25);
type Word = [device: string, seconds: number, filter: NonNullable<Report["filter"]>, looked?: boolean];

function saying(...words: Word[]) {
  const world = SiteWorld.planned();
  for (const [device, s, filter, looked] of words) {
    world.report("west", { filter, ...(looked && { looked }) }, { at: NOW + s * 1000, device });
  }
  const { filter, verdict } = world.rig("west", NOW + 60_000);
  return { filter, disputes: verdict.disputedBy.length };
}

describe("S9: when words about a filter disagree", () => {
  test("off holds, whoever spoke last", () => {
    expect(saying(["a", 1, "off"], ["b", 2, "on"])).toEqual({ filter: "off", disputes: 1 });
    expect(saying(["a", 1, "on"], ["b", 2, "off"]).filter).toBe("off");
    expect(saying(["a", 1, "off"], ["b", 2, "capped"])).toEqual({ filter: "off", disputes: 1 });
  });

  test("until somebody has looked; a word older than the look counts no more", () => {
    expect(saying(["a", 1, "off"], ["b", 2, "on", true])).toEqual({ filter: "on", disputes: 0 });
    expect(saying(["a", 1, "off"], ["b", 2, "on", true], ["c", 3, "off"]).filter).toBe("off");
  });

  test("a word of the very instant of the look is not older, whatever the devices are called", () => {
    for (const [first, second] of [
      ["a", "b"],
      ["b", "a"],
    ] as const) {
      expect(saying([first, 1, "on", true], [second, 1, "off"])).toMatchObject({ filter: "off" });
      expect(saying([second, 1, "off"], [first, 1, "on", true])).toMatchObject({ filter: "off" });
      expect(saying([first, 1, "on", true], [second, 1, "off", true])).toMatchObject({ filter: "off" });
    }
    // Two who say the same at once disagree in nothing.
    expect(saying(["a", 1, "on", true], ["b", 1, "on"])).toEqual({ filter: "on", disputes: 0 });
  });

  test("even when the look arrives before the word it sets aside", () => {
    expect(saying(["b", 2, "on", true], ["a", 1, "off"])).toEqual({ filter: "on", disputes: 0 });
  });

  test("a device may correct itself", () => {
    expect(saying(["a", 1, "off"], ["a", 2, "on"])).toEqual({ filter: "on", disputes: 0 });
    expect(saying(["a", 1, "off"], ["b", 2, "on"], ["a", 3, "on"])).toEqual({ filter: "on", disputes: 0 });
  });

  test("a device whose clock went back corrects itself by its own numbering", () => {
    expect(saying(["a", 20, "on"], ["a", 5, "off"])).toEqual({ filter: "off", disputes: 0 });
    expect(saying(["a", 20, "on", true], ["a", 5, "off"]).filter).toBe("off");
  });

  test("without an off the newest word holds, and nothing is disputed", () => {
    expect(saying(["a", 1, "on"], ["b", 2, "capped"])).toEqual({ filter: "capped", disputes: 0 });
    expect(saying(["a", 1, "on"], ["b", 2, "unknown"]).filter).toBe("unknown");
  });
});

describe("S9: an open filter is not saved away", () => {
  const open = (at: "c2" | "early") => {
    const world = SiteWorld.planned();
    const { c2, c1 } = world.predicted;
    const now = at === "c2" ? c2 + 10_000 : c1 - 5 * 3_600_000;
    world.report("west", { filter: "off" }, { at: now - 20_000 });
    return { world, now };
  };
  const without = (world: SiteWorld, change: "none" | "gone") => {
    const { plan } = world.state;
    const rigs = plan.rigs.flatMap((rig): RigDraft[] => {
      if (rig.id !== "west") return [rig];
      const { cues: _cues, edits: _edits, ...fields } = rig;
      if (change === "gone") return [];
      return [
        { ...fields, kind: "wide-camera" as const, focalLengthMm: 50, filter: "none by design" as const },
      ];
    });
    return { type: "savePlan" as const, draft: { ...plan, rigs }, ifRevision: plan.revision };
  };

  test.each(["none", "gone"] as const)("neither as a rig without one nor with its rig (%s)", (change) => {
    const { world, now } = open("c2");
    const refused = world.order(without(world, change), now);
    expect(refused).toMatchObject({
      refusal: { code: "safety-rule", rule: "S9", data: { rigId: "west" } },
    });
    // It goes when the filter is known to be on again.
    world.report("west", { filter: "on", looked: true }, { at: now + 1000 });
    expect(world.order(without(world, change), now + 2000)).toHaveProperty("events");
  });

  test("nor by a plan for another eclipse, nor by going back to it", () => {
    const world = SiteWorld.planned();
    const at = world.predicted.c1 + 600_000;
    const plan = (eclipse: string, now: number) => {
      const { revision } = world.state.plan;
      const saved = world.order({ type: "savePlan", draft: draft({ eclipse }), ifRevision: revision }, now);
      expect(saved).toHaveProperty("events");
    };
    world.report("west", { filter: "off" }, { at });
    plan("2028-01-26", at + 1000);
    expect(world.rig("west", at + 2000)).toMatchObject({ filter: "off", exposed: true });
    world.report("west", { filter: "on", looked: true }, { at: at + 3000 });
    world.report("eye", { filter: "off" }, { at: at + 3000 });
    plan("2027-08-02", at + 4000);
    expect(world.rig("west", at + 5000)).toMatchObject({ filter: "on", exposed: false });
    expect(world.rig("eye", at + 5000)).toMatchObject({ filter: "off", exposed: true });
  });

  test("nor once the plan has been made one for another eclipse, or for none", () => {
    for (const eclipse of ["2028-01-26", null]) {
      const { world, now } = open("c2");
      const { revision } = world.state.plan;
      const other = world.order({ type: "savePlan", draft: draft({ eclipse }), ifRevision: revision }, now);
      expect(other).toHaveProperty("events");
      for (const change of ["none", "gone"] as const)
        expect(world.order(without(world, change), now + 1000)).toMatchObject({
          refusal: { code: "safety-rule", rule: "S9", data: { rigId: "west" } },
        });
      // The day after, the plan is changed as anybody likes.
      expect(world.order(without(world, "gone"), now + 36 * 3_600_000)).toHaveProperty("events");
    }
  });

  test("nor that of a phone out of reach, whose filter was to come off since its last word", () => {
    const world = SiteWorld.planned();
    const { c2, c3 } = world.predicted;
    world.report("west", { filter: "on" }, { at: c2 - 600_000 });
    // Until its filter may come off, by S4 30 s before C2 at 480 mm, the word stands.
    expect(decide(world.state, without(world, "gone"), world.context(c2 - 31_000))).toHaveProperty("events");
    for (const at of [c2 - 20_000, c2 + 10_000, c3 + 60_000])
      expect(decide(world.state, without(world, "gone"), world.context(at))).toMatchObject({
        refusal: { code: "safety-rule", rule: "S9", data: { rigId: "west" } },
      });
    world.report("west", { filter: "on" }, { at: c3 + 61_000 });
    expect(world.order(without(world, "gone"), c3 + 62_000)).toHaveProperty("events");
  });

  test("a rig that nobody has ever joined, or whose filter never comes off, is taken away at any time", () => {
    const world = SiteWorld.planned();
    const { c2 } = world.predicted;
    expect(world.order(without(world, "gone"), c2 + 10_000)).toHaveProperty("events");
    const partial = SiteWorld.planned({ site: NORTH_SHORE });
    const { max } = partial.contacts(Date.UTC(2027, 7, 2));
    partial.report("west", { filter: "on" }, { at: Number(max) - 3_600_000 });
    expect(partial.order(without(partial, "gone"), Number(max))).toHaveProperty("events");
  });

  test("hours before the eclipse a plan is changed as anybody likes", () => {
    const { world, now } = open("early");
    expect(world.order(without(world, "gone"), now)).toHaveProperty("events");
  });
});

describe("S9: an instrument beside the rig", () => {
  const wheel = (filter: Report["filter"]): Report => ({ instrument: "wheel", filter });
  const site = () => {
    const world = SiteWorld.planned();
    const say = (s: number, report: Report, device = "phone") =>
      void world.report("west", report, { at: NOW + s * 1000, device });
    const filter = () => world.rig("west", NOW + 60_000).filter;
    return { world, say, filter };
  };

  test("its off holds against a person's on until somebody has looked", () => {
    const { say, filter } = site();
    say(1, { filter: "on" });
    say(2, wheel("off"), "agent");
    expect(filter()).toBe("off");
    say(3, { filter: "on" });
    expect(filter()).toBe("off");
    say(4, { filter: "on", looked: true });
    expect(filter()).toBe("on");
    say(5, wheel("off"), "agent");
    expect(filter()).toBe("off");
  });

  test("nothing it says releases anything: not its on, not its closed cover, not over the same link", () => {
    for (const device of ["agent", "phone"]) {
      const { say, filter } = site();
      say(1, wheel("on"), device);
      expect(filter()).toBe("unknown");
      say(2, { filter: "off" });
      say(3, wheel("on"), device);
      say(4, { instrument: "cover", filter: "capped", cover: "closed" }, device);
      expect(filter()).toBe("off");
    }
    // Not even its own word of before: somebody has to look.
    const { say, filter } = site();
    say(1, { filter: "on" });
    say(2, wheel("off"), "agent");
    say(3, wheel("on"), "agent");
    expect(filter()).toBe("off");
  });

  test("it has looked at nothing, sees no totality, confirms no cue and answers for no practice", () => {
    const { world, say, filter } = site();
    say(1, { filter: "off" });
    const event = world.report(
      "west",
      {
        ...wheel("on"),
        looked: true,
        sawTotality: true,
        practiceSafe: true,
        cueDone: "filter-on",
        sky: "clear",
      },
      { at: NOW + 2000, device: "agent" },
    );
    expect(event.payload).toEqual({ ...wheel("on"), rigId: "west", flags: ["not for an instrument"] });
    expect(filter()).toBe("off");
  });

  test("it breaks no silence, and a program is no phone", () => {
    const { world, say } = site();
    const agent = { deviceId: "agent", label: "agent", agent: true, armed: false } as const;
    const presence = {
      rigs: { west: [{ ...agent, boundMs: 1, utcBoundMs: 1, sinceUtcMs: utcMs(NOW) }] },
    };
    say(1, { filter: "on" });
    say(20 * 60, { instrument: "folder", frames: 12 }, "agent");
    const rig = world.rig("west", NOW + 20 * 60_000, presence);
    expect(rig).toMatchObject({ silent: true, filter: "unknown", linked: [], devices: [agent] });
  });
});

test("S9: a cue that is confirmed is that of the variant in force, though another names one the same", () => {
  const add = (action: "filter-on" | "filter-off", anchor: "C2" | "C3", offsetS: number) => [
    {
      do: "add",
      cueId: "own-1",
      cue: {
        id: "own-1",
        key: null,
        anchor,
        offsetS,
        action,
        say: "Now",
        on: true,
        confirm: true,
        earliestS: 0,
        latestS: 10,
        countInS: 0,
        handsS: 5,
        repeat: null,
      },
    },
  ];
  const variants = { thin: add("filter-on", "C3", 6), broken: add("filter-off", "C2", -5) };
  const world = SiteWorld.planned({
    rigs: RIGS.map((rig) => (rig.id === "west" ? { ...rig, variants } : rig)),
  });
  const { c2 } = world.predicted;
  world.report("west", { filter: "on", looked: true }, { at: c2 - 100_000 });
  world.order({ type: "chooseVariant", variant: "broken", rigIds: null }, c2 - 90_000);
  expect(world.rig("west", c2).cues.find(({ id }) => id === "own-1")?.cue.action).toBe("filter-off");
  world.report("west", { cueDone: "own-1" }, { at: c2 - 4000 });
  expect(world.rig("west", c2 - 3000).filter).toBe("off");
});
