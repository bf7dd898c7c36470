/** What taps report and how they are taken back. */
import { describe, expect, it } from "vitest";
import { confirmTap, filterTap } from "../../../../console/rig/run/rig-reports.ts";
import { SiteWorld } from "../../../shared/run/site-world.ts";
import { S, sceneOf } from "../rig-world.ts";

describe("taps of the rig page", () => {
  it("confirm a filter cue with the filter's new state, and take both back", () => {
    const world = SiteWorld.planned();
    const { c2 } = world.predicted;
    world.report("west", { filter: "on" }, { at: c2 - 600 * S });
    const scene = sceneOf(world, c2 - 19 * S);
    const [status] = scene.rigs;
    const line = scene.picture.confirm;
    if (!status || !line) throw new Error("nothing to confirm");
    const tap = confirmTap(line, status);
    expect(tap.report).toEqual({ cueDone: "filter-off", filter: "off" });
    world.report("west", tap.report, { at: c2 - 18 * S });
    world.report("west", tap.undo ?? {}, { at: c2 - 16 * S });
    const after = sceneOf(world, c2 - 15 * S);
    expect(after.rigs[0]?.verdict.state).toBe("on");
    expect(after.picture.confirm?.id).toBe("filter-off");
  });

  it("S8: a confirmed touch says nothing of the filter", () => {
    const world = SiteWorld.planned();
    // Noon at the site: under the real Sun.
    const at = Date.UTC(2027, 6, 25, 10);
    world.report("west", { filter: "on" }, { at: at - 60 * S });
    world.practise(at, -30);
    const scene = sceneOf(world, at + 11 * S);
    const [status] = scene.rigs;
    if (!status || !scene.picture.confirm) throw new Error("nothing to confirm");
    const tap = confirmTap(scene.picture.confirm, status);
    expect(tap.report).toEqual({ cueDone: "filter-off" });
    world.report("west", tap.report, { at: at + 12 * S });
    expect(sceneOf(world, at + 13 * S).rigs[0]?.verdict.state).toBe("on");
  });

  it("turn the filter mark over, marking the filter cue that is due", () => {
    const world = SiteWorld.planned();
    const { c1, c2 } = world.predicted;
    world.report("west", { filter: "on" }, { at: c1 - 600 * S });
    const calm = sceneOf(world, c1 + 100 * S);
    if (!calm.rigs[0]) throw new Error("no rig");
    expect(filterTap(calm.rigs[0], calm.picture.lines)).toEqual({
      rigId: "west",
      report: { filter: "off" },
      undo: { filter: "on" },
    });
    const due = sceneOf(world, c2 - 19 * S);
    if (!due.rigs[0]) throw new Error("no rig");
    expect(filterTap(due.rigs[0], due.picture.lines)?.report).toEqual({
      filter: "off",
      cueDone: "filter-off",
    });
  });

  it("ask instead of guessing where a filter is unknown or capped", () => {
    const world = SiteWorld.planned();
    const at = world.predicted.c1;
    const unknown = sceneOf(world, at);
    if (!unknown.rigs[0]) throw new Error("no rig");
    expect(filterTap(unknown.rigs[0], [])).toBeNull();
    world.report("west", { filter: "capped" }, { at });
    const capped = sceneOf(world, at + S).rigs[0];
    expect(capped && filterTap(capped, [])).toBeNull();
  });
});
