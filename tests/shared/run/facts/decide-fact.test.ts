/** SPEC R4 and R5. */
import { describe, expect, test } from "vitest";
import { SiteWorld } from "../site-world.ts";

const S = 1000;
const NOW = Date.UTC(2027, 6, 25);

describe("R4: a fact is never refused for the state", () => {
  test("of a rig that was removed it is kept, and marked", () => {
    const world = SiteWorld.planned();
    const event = world.report("gone", { filter: "off" }, { at: NOW });
    expect(event).toMatchObject({ type: "rigReported", payload: { filter: "off", flags: ["rig removed"] } });
  });

  test("of a link that was revoked, too", () => {
    const world = SiteWorld.planned();
    expect(world.report("west", { help: true }, { at: NOW, linkRevoked: true }).payload).toMatchObject({
      flags: ["link revoked"],
    });
    expect(world.rig("west", NOW).help?.value).toBe(true);
  });

  test("of a cue that is not in the plan, too", () => {
    const world = SiteWorld.planned();
    expect(world.report("west", { cueDone: "juggle" }, { at: NOW }).payload).toMatchObject({
      cueDone: "juggle",
      flags: ["cue unknown"],
    });
  });

  test("queued in a practice that has ended it goes into the record of that practice", () => {
    const world = SiteWorld.planned();
    const runId = world.practise(NOW);
    world.order({ type: "endPractice" }, NOW + 10 * S);
    const event = world.report("west", { batteryPct: 7 }, { at: NOW + 5 * S, runId, arrives: NOW + 60 * S });
    expect(event).toMatchObject({ runId, payload: { flags: ["run ended"] } });
    expect(world.state.runs[runId]?.rigs.west?.batteryPct?.value).toBe(7);
    expect(world.rig("west", NOW + 60 * S).batteryPct).toBeNull();
  });

  test("of a practice nobody knows any more it is kept under that practice's name, away from the real run", () => {
    const world = SiteWorld.planned();
    const event = world.report(
      "west",
      { filter: "off", cueDone: "filter-off" },
      { at: NOW, runId: "practice-lost" },
    );
    expect(event).toMatchObject({ runId: "practice-lost", payload: { flags: ["run ended"] } });
    expect(world.rig("west", NOW + S).filter).toBe("unknown");
  });

  test("without a run it belongs to the run that was on when it was observed", () => {
    const world = SiteWorld.planned();
    const runId = world.practise(NOW);
    expect(world.report("west", { help: true }, { at: NOW - 1, arrives: NOW + S }).runId).toBe(
      "real-2027-08-02",
    );
    expect(world.report("west", { help: true }, { at: NOW + 1, arrives: NOW + S }).runId).toBe(runId);
  });

  test("a device whose clock runs ahead cannot date it into the future", () => {
    const world = SiteWorld.planned();
    expect(world.report("west", { filter: "off" }, { at: NOW + 3600 * S, arrives: NOW }).observedUtcMs).toBe(
      NOW,
    );
    world.report("west", { filter: "on" }, { at: NOW + S, seq: 5000 });
    expect(world.rig("west", NOW + 2 * S).filter).toBe("on");
  });
});

describe("R5: what a confirm says of the filter", () => {
  const confirmed = (cueDone: string, more = {}) => {
    const world = SiteWorld.planned();
    world.report("west", { cueDone, ...more }, { at: NOW });
    return world.rig("west", NOW + S).filter;
  };

  test("filter-off done means off, filter-on done means on", () => {
    expect(confirmed("filter-off")).toBe("off");
    expect(confirmed("filter-on")).toBe("on");
    expect(confirmed("burst-before")).toBe("unknown");
  });

  test("unless the report itself says otherwise", () => {
    expect(confirmed("filter-on", { filter: "capped" })).toBe("capped");
  });

  test("and never at a rig that has none by design", () => {
    const world = SiteWorld.planned();
    world.report("wide", { cueDone: "short-exposure" }, { at: NOW });
    expect(world.rig("wide", NOW + S).filter).toBe("none by design");
  });
});
