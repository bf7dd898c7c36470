/** SPEC R5 (what a word settles), R15, and S1. */
import { describe, expect, test } from "vitest";
import { SiteWorld } from "../site-world.ts";

const S = 1000;
const NOW = Date.UTC(2027, 6, 25);

describe("R5: a filter known to be so counts as its cue done", () => {
  const cue = (world: SiteWorld, id: string, at: number) =>
    world.rig("west", at).cues.find((item) => item.id === id)?.state;

  test("for either filter cue, while it is so", () => {
    const world = SiteWorld.planned();
    world.practise(NOW, -30);
    world.report("west", { filter: "off" }, { at: NOW + 5 * S });
    expect(cue(world, "filter-off", NOW + 6 * S)).toBe("done");
    expect(cue(world, "filter-on", NOW + 6 * S)).not.toBe("done");
    world.report("west", { filter: "on" }, { at: NOW + 7 * S });
    expect(cue(world, "filter-off", NOW + 40 * S)).toBe("now");
  });

  // Totality of this place in 2026 lasts 1 min 44 s: words of before C2 are near C3, too.
  test("“on” said before the filter came off is no filter-on, however short totality is", () => {
    const site = { name: "Short Field", latDeg: 42.34, lonDeg: -3.7, heightM: 860 };
    for (const [rigId, saidS] of [
      ["west", -10],
      ["eye", -30],
    ] as const) {
      const world = SiteWorld.planned({ eclipse: "2026-08-12", site }, Date.UTC(2026, 7, 1));
      const { c2, c3 } = world.predicted;
      expect((c3 - c2) / S).toBeLessThan(120);
      world.report(rigId, { filter: "on", looked: true }, { at: c2 + saidS * S });
      const state = (at: number) => world.rig(rigId, at).cues.find((one) => one.id === "filter-on")?.state;
      // Somebody may have opened it without a word: it is asked for in its window all the same.
      for (const at of [c2 + 30 * S, c3 + (rigId === "eye" ? -15 : 6) * S])
        expect(state(at), `${rigId} at ${at}`).not.toBe("done");
      world.report(rigId, { filter: "on" }, { at: c3 - 12 * S });
      expect(state(c3 - 11 * S)).toBe("done");
    }
  });

  test("but not by a word from long before, nor against a mark that was taken back", () => {
    const world = SiteWorld.planned();
    const { c2, c3 } = world.predicted;
    const totalityMs = c3 - c2;
    world.practise(NOW, -30);
    world.report("west", { filter: "on" }, { at: NOW });
    expect(cue(world, "filter-on", NOW + 30 * S + totalityMs + 10 * S)).toBe("now");
    expect(cue(world, "filter-on", NOW + 30 * S + totalityMs + 20 * S)).toBe("done");
    world.report("west", { filter: "off", cueReopened: "filter-off" }, { at: NOW + 12 * S });
    expect(cue(world, "filter-off", NOW + 13 * S)).toBe("now");
  });
});

describe("S1: a filter that has to go on whatever the cues say", () => {
  test("is late by the cue's own time where that has come, and by its opening where it has not", () => {
    const world = SiteWorld.planned();
    const { c1, c2, c3 } = world.predicted;
    world.report("west", { filter: "off" }, { at: c2 - 15 * S });
    const after = world.rig("west", c3 + 40 * S).cues.find(({ id }) => id === "filter-on");
    expect(after).toMatchObject({ state: "late", exposed: true, dueMs: c3 + 5 * S });
    const early = SiteWorld.planned();
    early.report("west", { filter: "off" }, { at: c1 + 60 * S });
    const opened = early.rig("west", c1 + 90 * S).cues.find(({ id }) => id === "filter-on");
    expect(opened).toMatchObject({ state: "late", exposed: true, dueMs: c1 + 60 * S });
  });
});

describe("R15: the cue of now", () => {
  /** The default camera list: filter off at C2−20 s, burst at C2−12 s, filter on at C3+5 s. */
  const at = (s: number) => NOW + (60 + s) * S;
  const now = (world: SiteWorld, when: number) => {
    const { cueNow } = world.rig("west", when);
    return cueNow && `${cueNow.id} ${cueNow.state}`;
  };
  const started = () => {
    const world = SiteWorld.planned();
    world.practise(NOW, -60);
    return world;
  };

  test("is the filter-off that nobody has confirmed, though others came due after it", () => {
    const world = started();
    expect(now(world, at(-19))).toBe("filter-off now");
    expect(now(world, at(-11))).toBe("filter-off now");
    expect(now(world, at(20))).toBe("filter-off late");
    world.report("west", { cueDone: "filter-off" }, { at: at(21) });
    expect(now(world, at(22))).toBe("corona-brackets now");
  });

  test("is the burst once the filter is off", () => {
    const world = started();
    world.report("west", { cueDone: "filter-off" }, { at: at(-15) });
    expect(now(world, at(-11))).toBe("burst-before now");
  });

  test("leaves a missed filter-off when filter-on comes, and never goes back to it", () => {
    const world = started();
    const { c2, c3 } = world.predicted;
    const onDue = at((c3 - c2) / S + 5);
    expect(now(world, onDue + S)).toBe("filter-on now");
    expect(now(world, onDue + 40 * S)).toBe("filter-on late");
    const early = started();
    early.report("west", { cueDone: "filter-on" }, { at: onDue - 15 * S });
    expect(now(early, onDue - 14 * S)).not.toContain("filter");
  });
});
