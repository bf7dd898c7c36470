/** SPEC R20: what instruments say against cues and people. Times and limits: common practice, no source. */
import { describe, expect, test } from "vitest";
import { alertsAt } from "../../../../shared/run/alerts/alerts.ts";
import { GOOD_CLOCK } from "../../../../shared/run/doubt.ts";
import { cardFullMs, missedFrames } from "../../../../shared/run/facts/instrument-facts.ts";
import type { Report } from "../../../../shared/run/facts/report-schema.ts";
import type { Presence } from "../../../../shared/run/views/presence.ts";
import { utcMs } from "../../../../shared/time/instants.ts";
import { linkedTo, SiteWorld } from "../site-world.ts";

const S = 1000;
const AGENT = {
  deviceId: "agent",
  label: "agent on a laptop",
  boundMs: 2,
  utcBoundMs: 5,
  armed: false,
  agent: true,
  sinceUtcMs: utcMs(0),
} as const;
const phones = linkedTo("west", "eye", "wide").rigs;
const ALL: Presence = { rigs: { ...phones, west: [...(phones.west ?? []), AGENT] } };

/** A real run on the path, its rigs filtered and heard of shortly before. */
function site() {
  const world = SiteWorld.planned();
  const { c1, c2, c3, c4 } = world.predicted;
  for (const id of ["west", "eye"]) world.report(id, { filter: "on", looked: true }, { at: c1 - 500 * S });
  const instrument = (at: number, report: Report) =>
    void world.report("west", { instrument: "folder", ...report }, { at, device: "agent" });
  const causes = (at: number, presence = ALL) =>
    alertsAt(world.state, presence, GOOD_CLOCK, utcMs(at))
      .filter(({ rigId }) => rigId === "west")
      .map(({ cause, priority }) => `${priority} ${cause}`);
  return { world, c1, c2, c3, c4, instrument, causes };
}

describe("no-frames", () => {
  /** The burst of the default list is at C2−12 s. */
  function burst() {
    const it = site();
    const cue = it.world.rig("west", it.c2).cues.find((one) => one.cue.action === "burst");
    if (!cue) throw new Error("the default list has no burst");
    it.instrument(it.c1, { frames: 10, lastFrameUtcMs: cue.fromMs - 60 * S });
    return { ...it, cue };
  }

  test("stands once a burst's window has passed and nobody saw a frame, and ends with the next one", () => {
    const { causes, cue, instrument, world } = burst();
    expect(causes(cue.toMs)).not.toContain("caution no-frames");
    // A frame is known three seconds after it was written.
    const at = cue.toMs + 3001;
    expect(causes(at)).toContain("caution no-frames");
    const missed = missedFrames(world.rig("west", at, ALL), world.view(at, ALL));
    expect(missed).toMatchObject({ cue: { id: cue.id }, lastRunMs: cue.fromMs - 60 * S });
    instrument(at, { frames: 11, lastFrameUtcMs: at - 500 });
    expect(causes(at + 1)).not.toContain("caution no-frames");
  });

  test("does not believe the operator's confirm, but their letting go", () => {
    const { causes, cue, world } = burst();
    world.report("west", { cueDone: cue.id }, { at: cue.dueMs + S });
    expect(causes(cue.toMs + 3001)).toContain("caution no-frames");
    world.report("west", { cueSkipped: cue.id }, { at: cue.dueMs + 2 * S });
    expect(causes(cue.toMs + 3001)).not.toContain("caution no-frames");
  });

  test("a frame in the window is enough; without anybody who counts there is none", () => {
    const { causes, cue, instrument } = burst();
    instrument(cue.dueMs + S, { frames: 30, lastFrameUtcMs: cue.dueMs + 500 });
    expect(causes(cue.toMs + 3001)).not.toContain("caution no-frames");
    const other = site();
    expect(other.causes(cue.toMs + 3001)).not.toContain("caution no-frames");
    // The agent left an hour ago: nobody watches.
    const { causes: left } = burst();
    expect(left(cue.toMs + 3001, linkedTo("west", "eye", "wide"))).not.toContain("caution no-frames");
  });

  test("in the partial phase it is advice", () => {
    const { causes, instrument, world, c1, c2 } = site();
    const cue = world
      .rig("west", c1)
      .cues.find((one) => one.cue.action === "exposure" && one.dueMs > c1 && one.toMs < c2 - 600 * S);
    if (!cue) throw new Error("the default list has no exposure in the partial phase");
    instrument(c1 - 60 * S, { frames: 0 });
    expect(causes(cue.toMs + 3001)).toContain("advice no-frames");
  });
});

describe("card-fills", () => {
  test("foretells when the card is full: caution before C3", () => {
    const { causes, instrument, world, c2 } = site();
    const at = c2 - 600 * S;
    const fillsIn = (ms: number) => {
      instrument(at, { cardFreeGB: 40, fillsGBPerMin: Math.round((40 / (ms / 60_000)) * 100) / 100 });
      return causes(at + S).filter((one) => one.endsWith("card-fills"));
    };
    expect(fillsIn(c2 - at)).toEqual(["caution card-fills"]);
    const full = cardFullMs(world.rig("west", at, ALL), world.view(at, ALL));
    expect(Math.abs((full ?? 0) - c2)).toBeLessThan(10 * S);
  });

  test.each([
    ["after C3", (c: { c3: number }) => c.c3 + 60 * S, ["advice card-fills"]],
    ["after C4", (c: { c4: number }) => c.c4 + 600 * S, []],
  ] as const)("%s", (_, when, expected) => {
    const it = site();
    const at = it.c2 - 600 * S;
    const minutes = (when(it) - at) / 60_000;
    it.instrument(at, { cardFreeGB: 40, fillsGBPerMin: Math.round((40 / minutes) * 100) / 100 });
    expect(it.causes(at + S).filter((one) => one.endsWith("card-fills"))).toEqual(expected);
  });

  test("none while nothing is written", () => {
    const { causes, instrument, c2 } = site();
    instrument(c2 - 600 * S, { cardFreeGB: 40, fillsGBPerMin: 0 });
    expect(causes(c2 - 599 * S)).toEqual([]);
  });
});

test("tracking-stopped stands in the run alone, by whoever said it last", () => {
  const { causes, world, c1 } = site();
  const mount = (at: number, tracking: boolean) =>
    void world.report(
      "west",
      { instrument: "mount", tracking, mount: tracking ? "tracking" : "stopped" },
      { at },
    );
  mount(c1 - 7200 * S, false);
  expect(causes(c1 - 3600 * S)).toEqual([]);
  expect(causes(c1)).toContain("caution tracking-stopped");
  mount(c1 + S, true);
  expect(causes(c1 + 2 * S)).toEqual([]);
});

test("card-gone is advice from an hour before C1, caution in the run", () => {
  const { causes, instrument, c1, c4 } = site();
  instrument(c1 - 7200 * S, { card: "gone" });
  expect(causes(c1 - 3700 * S)).toEqual([]);
  expect(causes(c1 - 1800 * S)).toEqual(["advice card-gone"]);
  expect(causes(c1)).toContain("caution card-gone");
  expect(causes(c4 + S)).not.toContain("caution card-gone");
});

test("wheel-open stands while a person says on, also after they have looked, and is no danger then (S9)", () => {
  const { causes, world, c1 } = site();
  world.report(
    "west",
    { instrument: "wheel", wheelSlot: "Open", filter: "off" },
    { at: c1, device: "agent" },
  );
  // Off counts: open in sunlight.
  expect(causes(c1 + S)).toEqual(expect.arrayContaining(["danger exposed", "caution wheel-open"]));
  world.report("west", { filter: "on", looked: true }, { at: c1 + 2 * S });
  expect(causes(c1 + 3 * S)).toEqual(["caution wheel-open"]);
  world.report(
    "west",
    { instrument: "wheel", wheelSlot: "Red", filter: "unknown" },
    { at: c1 + 4 * S, device: "agent" },
  );
  expect(causes(c1 + 5 * S)).toEqual([]);
});
