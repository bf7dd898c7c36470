/** SPEC R17: what one link can add to the state at most. */
import { describe, expect, test } from "vitest";
import { SET_UP_CHECKS } from "../../../../shared/plan/defaults/set-up-checks.ts";
import { DEVICES_MOST, UNKNOWN_CUES_MOST } from "../../../../shared/run/facts/fact-bounds.ts";
import { filterVerdict } from "../../../../shared/run/facts/filter-state.ts";
import { recordOf } from "../../../../shared/run/facts/rig-record.ts";
import { currentRun } from "../../../../shared/run/run-time.ts";
import { utcMs } from "../../../../shared/time/instants.ts";
import { SiteWorld } from "../site-world.ts";

const S = 1000;
const NOW = Date.UTC(2027, 6, 25);
const record = (world: SiteWorld) => recordOf(world.state, currentRun(world.state, utcMs(NOW)), "west");

describe("R17: made-up ids", () => {
  test("of checks are left out of the fact, the known ones beside them are taken", () => {
    const world = SiteWorld.planned();
    const checks = Object.fromEntries(Array.from({ length: 59 }, (_, n) => [`made-up-${n}`, true]));
    const { payload } = world.report("west", { checks: { ...checks, level: true } }, { at: NOW });
    expect(payload).toMatchObject({ checks: { level: true }, flags: ["check unknown"] });
    expect(Object.keys(record(world).checks)).toEqual(["level"]);
    const none = world.report("west", { checks, batteryPct: 7 }, { at: NOW + S });
    expect(none.payload).not.toHaveProperty("checks");
    expect(record(world).batteryPct?.value).toBe(7);
    const all = Object.fromEntries(SET_UP_CHECKS.map((id) => [id, true]));
    expect(world.report("west", { checks: all }, { at: NOW + 2 * S }).payload).toMatchObject({ flags: [] });
    expect(Object.keys(record(world).checks)).toHaveLength(SET_UP_CHECKS.length);
  });

  test("of cues are kept up to a number, marked again as often as one likes, and left out beyond it", () => {
    const world = SiteWorld.planned();
    const says = (id: string, n: number) => world.report("west", { cueDone: id }, { at: NOW + n * S });
    for (let n = 0; n < UNKNOWN_CUES_MOST; n++)
      expect(says(`made-up-${n}`, n).payload).toMatchObject({
        cueDone: `made-up-${n}`,
        flags: ["cue unknown"],
      });
    expect(says("one-more", 100).payload).toEqual({ rigId: "west", flags: ["cue left out"] });
    expect(says("made-up-3", 101).payload).toMatchObject({ flags: ["cue unknown"] });
    const reopened = world.report("west", { cueReopened: "another" }, { at: NOW + 102 * S });
    expect(reopened.payload).toEqual({ rigId: "west", flags: ["cue left out"] });
    // The plan's own are always taken, and so are the times that a cue of it comes.
    for (const id of ["filter-off", "partial-before", "partial-before.2", "partial-before.11"])
      expect(says(id, 110).payload).toMatchObject({ cueDone: id, flags: [] });
    expect(Object.keys(record(world).cues)).toHaveLength(UNKNOWN_CUES_MOST + 4);
  });

  test("that are numbers of a cue which comes once, or more often than cues come, count as made up", () => {
    const world = SiteWorld.planned();
    for (let n = 2; n < 300; n++) {
      world.report("west", { cueDone: `filter-off.${n}` }, { at: NOW + n * S });
      world.report("west", { cueSkipped: `partial-before.${1000 + n}` }, { at: NOW + n * S });
    }
    expect(Object.keys(record(world).cues)).toHaveLength(UNKNOWN_CUES_MOST);
  });
});

describe("R4: who holds a link that was replaced", () => {
  test("has looked at nothing, sees no totality and caps nothing for a practice (S5, S8, S9)", () => {
    const world = SiteWorld.planned();
    const { c2 } = world.predicted;
    const says = (report: Parameters<SiteWorld["report"]>[1], at: number) =>
      world.report("west", report, { at, device: "old-phone", linkRevoked: true });
    world.report("west", { filter: "off" }, { at: c2 });
    says({ filter: "on", looked: true }, c2 + S);
    expect(world.rig("west", c2 + 2 * S)).toMatchObject({ filter: "off", verdict: { disputedBy: [{}] } });
    expect(says({ sawTotality: true }, c2 + 3 * S).payload).toEqual({
      rigId: "west",
      flags: ["link revoked"],
    });
    expect(world.rig("west", c2 + 4 * S).times.seenMs).toBeNull();
    const practised = SiteWorld.planned();
    practised.practise(NOW);
    practised.report("west", { practiceSafe: true }, { at: NOW + S, linkRevoked: true });
    expect(practised.rig("west", NOW + 2 * S).practiceSafe).toBe(false);
  });

  test("is believed in whatever makes things safer, or only tells", () => {
    const world = SiteWorld.planned();
    world.report("west", { filter: "on", looked: true }, { at: NOW });
    world.report(
      "west",
      { filter: "off", batteryPct: 7 },
      { at: NOW + S, device: "old-phone", linkRevoked: true },
    );
    expect(world.rig("west", NOW + 2 * S)).toMatchObject({ filter: "off", batteryPct: 7 });
  });
});

describe("R17, S9: words on a filter of very many devices", () => {
  const crowd = () => {
    const world = SiteWorld.planned();
    for (let n = 0; n < DEVICES_MOST; n++)
      world.report("west", { filter: "on" }, { at: NOW + n, device: `made-up-${n}` });
    return world;
  };
  const verdict = (world: SiteWorld) => filterVerdict(record(world).filter);

  test("are told apart for some; the state grows no further", () => {
    const world = crowd();
    for (let n = 0; n < 200; n++) {
      const filter = (["on", "off", "capped", "unknown"] as const)[n % 4] ?? "on";
      const event = world.report("west", { filter }, { at: NOW + 100 + n, device: `more-${n}` });
      expect(event.payload).toMatchObject({ flags: ["device not told apart"] });
    }
    expect(Object.keys(record(world).filter.byDevice)).toHaveLength(DEVICES_MOST + 2);
    expect(world.report("west", { batteryPct: 3 }, { at: NOW + S, device: "more-1" }).deviceId).toBe(
      "more-1",
    );
  });

  test("an off of one too many holds until somebody has looked, whatever the others say", () => {
    const world = crowd();
    world.report("west", { filter: "off" }, { at: NOW + S, device: "the-operator", seq: 2 });
    expect(verdict(world).state).toBe("off");
    for (const device of ["another", "others", "made-up-1"])
      world.report("west", { filter: "on" }, { at: NOW + 2 * S, device, seq: 9e15 });
    expect(verdict(world).state).toBe("off");
    world.report("west", { filter: "on", looked: true }, { at: NOW + 3 * S, device: "the-operator", seq: 3 });
    expect(verdict(world).state).toBe("on");
    world.report("west", { filter: "off" }, { at: NOW + 4 * S, device: "a-third", seq: 1 });
    expect(verdict(world).state).toBe("off");
  });
});
