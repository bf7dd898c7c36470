/** What the run screen shows. Order and quiet are the project's own; safety rules are quoted by number. */
import { describe, expect, it } from "vitest";
import { stateInForce } from "../../../../console/rig/run/state-in-force.ts";
import { SiteWorld } from "../../../shared/run/site-world.ts";
import { S, sceneOf } from "../rig-world.ts";

const TWO = {
  rigs: [
    { id: "west", name: "West", kind: "tracked-telescope", focalLengthMm: 480 },
    { id: "east", name: "East", kind: "tripod-camera", focalLengthMm: 80 },
  ],
};

function ready(rest: Record<string, unknown> = {}, ids: string[] = ["west"]): SiteWorld {
  const world = SiteWorld.planned(rest);
  for (const id of ids) world.report(id, { filter: "on" }, { at: world.predicted.c1 - 3600 * S });
  return world;
}

describe("the run picture", () => {
  it("outside a count-in the state in force stands large and what comes is small; nothing is confirmed", () => {
    const world = ready();
    const { c2 } = world.predicted;
    // The bead exposure's window is over, the filter's count-in of 10 s has not begun.
    const { instruction, upcoming, confirm } = sceneOf(world, c2 - 30.5 * S).picture;
    expect(instruction?.id).toBe("bead-before");
    const { picture: between, view, rigs } = sceneOf(world, c2 - 100 * S);
    expect(between.instruction).toBeNull();
    expect(stateInForce(view, rigs)).toBe("filter-stays");
    expect(between.upcoming.map((line) => line.id)).toEqual(["bead-before", "filter-off"]);
    expect([upcoming[0]?.id, confirm?.id]).toEqual(["filter-off", "bead-before"]);
    const counted = sceneOf(world, c2 - 28 * S).picture;
    expect(counted.instruction?.id).toBe("filter-off");
    expect(counted.due).toBe(false);
    expect(counted.confirm?.id).toBe("filter-off");
    const due = sceneOf(world, c2 - 19 * S).picture;
    expect(due.due).toBe(true);
    expect(due.confirm?.id).toBe("filter-off");
  });

  it("goes on to the next cue once confirmed", () => {
    const world = ready();
    const { c2 } = world.predicted;
    world.report("west", { cueDone: "filter-off", filter: "off" }, { at: c2 - 18 * S });
    expect(sceneOf(world, c2 - 17 * S).picture.instruction?.id).toBe("burst-before");
  });

  it("says with the burst before C3 that a filter stays on that is too late to open (S11)", () => {
    const world = ready();
    const { c3 } = world.predicted;
    // Until then "Take the filter off." stood there, and the burst's count-in begins as it ends.
    expect(sceneOf(world, c3 - 20.1 * S).picture).toMatchObject({
      instruction: { id: "filter-off", mode: "plain" },
      staysOn: null,
    });
    for (let at = -19.9; at < -5; at++) {
      const { instruction, staysOn } = sceneOf(world, c3 + at * S).picture;
      expect(instruction?.id).toBe("burst-after");
      expect(staysOn).toMatchObject({ id: "filter-off", mode: "too-late" });
    }
    // Of a filter that is off nothing stays on, nor is it said with the filter's own cue.
    expect(sceneOf(world, c3 + 8 * S).picture.staysOn).toBeNull();
    world.report("west", { filter: "off" }, { at: c3 - 15 * S });
    expect(sceneOf(world, c3 - 14 * S).picture.staysOn).toBeNull();
  });

  it("keeps an unconfirmed filter-off as the instruction, and the button is always the instruction's (S9)", () => {
    const world = ready(TWO, ["west", "east"]);
    const { c2, c3 } = world.predicted;
    const during = sceneOf(world, c2 - 11 * S, ["west"]).picture;
    expect(during.instruction?.id).toBe("filter-off");
    for (let at = -90; at < (c3 - c2) / S + 90; at += 1) {
      const { confirm, instruction } = sceneOf(world, c2 + at * S, ["west", "east"]).picture;
      if (confirm) expect(confirm).toBe(instruction);
    }
    world.report("west", { cueDone: "filter-off" }, { at: c2 - 18 * S });
    // A key meant for the burst does not confirm the filter that comes 20 s later.
    const burst = sceneOf(world, c3 - 14 * S).picture;
    expect(burst.instruction?.id).toBe("burst-after");
    expect(burst.confirm).toBeNull();
  });

  it("from S11's time on an unconfirmed filter-off stands as “leave it on”, to C3", () => {
    const world = ready();
    const { c3 } = world.predicted;
    expect(sceneOf(world, c3 - 28 * S).picture.instruction).toMatchObject({
      id: "filter-off",
      mode: "plain",
    });
    const late = sceneOf(world, c3 - 16 * S).picture;
    expect(late.lines.find(({ id }) => id === "filter-off")).toMatchObject({
      state: "late",
      mode: "too-late",
    });
    expect(late.confirm).toBeNull();
  });

  it("S1: photosphere on open optics outranks every cue, eyes first", () => {
    const world = SiteWorld.planned();
    const { c1, c3 } = world.predicted;
    for (const at of [c1 + 300 * S, c3 - 5 * S, c3 + 18 * S]) {
      for (const rigId of ["eye", "west"]) world.report(rigId, { filter: "off" }, { at: at - S });
      const { instruction, due, quiet } = sceneOf(world, at, ["west", "eye"]).picture;
      expect(instruction, `at ${(at - c3) / S}`).toMatchObject({
        rigId: "eye",
        exposed: true,
        lookedThrough: true,
        cue: { action: "filter-on" },
      });
      expect([due, quiet]).toEqual([true, true]);
    }
  });

  it("puts a late filter-on above everything, until it is confirmed", () => {
    const world = ready();
    const { c2, c3 } = world.predicted;
    world.report("west", { cueDone: "filter-off", filter: "off" }, { at: c2 - 18 * S });
    const late = sceneOf(world, c3 + 34 * S).picture;
    expect(late.instruction?.id).toBe("filter-on");
    expect(late.instruction?.state).toBe("late");
    expect(late.confirm?.id).toBe("filter-on");
    world.report("west", { cueDone: "filter-on", filter: "on" }, { at: c3 + 35 * S });
    expect(sceneOf(world, c3 + 36 * S).picture.instruction?.id).toBe("partial-after");
  });

  it("merges two rigs by time and confirms the older of two that are due", () => {
    const world = ready(TWO, ["west", "east"]);
    const { c2 } = world.predicted;
    const { picture } = sceneOf(world, c2 - 19 * S, ["west", "east"]);
    const times = picture.lines.map((line) => line.dueMs);
    expect(times).toEqual([...times].sort((a, b) => a - b));
    // Both are due at one instant: the plan's order decides.
    expect(picture.confirm?.key).toBe("west/filter-off");
    world.report("west", { cueDone: "filter-off", filter: "off" }, { at: c2 - 18.5 * S });
    expect(sceneOf(world, c2 - 18 * S, ["west", "east"]).picture.confirm?.key).toBe("east/filter-off");
  });

  it("never confirms one rig's coming cue while another rig's instruction stands above it", () => {
    const world = ready(TWO, ["west", "east"]);
    for (let at = -70; at < 300; at += 1) {
      const { picture } = sceneOf(world, world.predicted.c2 + at * S, ["west", "east"]);
      const { confirm, instruction } = picture;
      if (!confirm || confirm.state === "now" || confirm.state === "late") continue;
      expect(confirm.key).toBe(instruction?.key);
    }
  });

  it("is quiet from a minute before a cue and through totality, and not in between", () => {
    const world = ready();
    const { c1, c2, c3 } = world.predicted;
    expect(sceneOf(world, c2 - 242 * S).picture.quiet).toBe(false);
    expect(sceneOf(world, c2 - 239 * S).picture.quiet).toBe(true);
    expect(sceneOf(world, (c2 + c3) / 2).picture.quiet).toBe(true);
    expect(sceneOf(world, c1 + 120 * S).picture.quiet).toBe(false);
  });

  it("asks for nothing but filters in totality", () => {
    const world = ready();
    const { c2, c3 } = world.predicted;
    world.report("west", { cueDone: "filter-off", filter: "off" }, { at: c2 - 18 * S });
    for (let at = c2; at < c3 - 20 * S; at += 1000) expect(sceneOf(world, at).picture.confirm).toBeNull();
  });
});
