/** S7 in the state; that it is shown first and logged after is tested with the hub's sockets. */
import { describe, expect, test } from "vitest";
import { playedDeviceId } from "../../../../shared/run/facts/played.ts";
import { upcast } from "../../../../shared/run/upcasts.ts";
import { isCoveredSince } from "../../../../shared/run/views/covered.ts";
import { draft, NORTH_SHORE, replayed, SiteWorld } from "../site-world.ts";

const NOW = Date.UTC(2027, 6, 25);

describe("S7: cover every lens", () => {
  test("is one action in every state, site or none, practice or real", () => {
    const practising = SiteWorld.planned();
    practising.practise(NOW - 1000);
    for (const world of [new SiteWorld(), SiteWorld.planned(), practising]) {
      expect(world.order({ type: "cover" }, NOW)).toMatchObject({ events: [{ type: "coverOrdered" }] });
      expect(world.state.cover).toMatchObject({ sinceUtcMs: NOW, by: "lead:Ada" });
    }
  });

  test("latches: nothing but a lead's release ends it", () => {
    const world = SiteWorld.planned();
    const runId = world.practise(NOW);
    world.order({ type: "cover" }, NOW + 1);
    world.order({ type: "call", call: "totality" }, NOW + 2);
    world.report("west", { filter: "capped" }, { at: NOW + 3 });
    world.order({ type: "endPractice" }, NOW + 4);
    world.practise(NOW + 5);
    world.order({ type: "savePlan", draft: draft({ site: NORTH_SHORE }), ifRevision: 1 }, NOW + 6);
    world.order({ type: "cover" }, NOW + 7);
    expect(world.state.runs[runId]?.endedUtcMs).not.toBeNull();
    expect(world.state.cover?.sinceUtcMs).toBe(NOW + 1);
    expect(replayed(world.log, upcast).cover?.sinceUtcMs).toBe(NOW + 1);
    world.order({ type: "releaseCover" }, NOW + 8);
    expect(world.state.cover).toBeNull();
    // Told though this state knows of no cover: a page may have heard one that was never logged.
    expect(world.order({ type: "releaseCover" }, NOW + 9)).toMatchObject({
      events: [{ type: "coverReleased" }],
    });
  });

  test("is answered by no simulated operator while the rig stands under the real Sun", () => {
    const day = Date.UTC(2027, 6, 25, 10);
    const world = SiteWorld.planned();
    world.practise(day, -180);
    world.order({ type: "cover" }, day + 1000);
    const covered = (at: number) => isCoveredSince(world.rig("west", at), day + 1000);
    world.report("west", { filter: "capped" }, { at: day + 2000, device: playedDeviceId("one") });
    expect(covered(day + 3000)).toBe(false);
    world.report("west", { filter: "capped", looked: true }, { at: day + 4000 });
    expect(covered(day + 5000)).toBe(true);
  });

  test("asks every rig, one without a filter too, and only words from after it count", () => {
    const world = SiteWorld.planned();
    world.report("west", { filter: "on" }, { at: NOW - 1000 });
    world.report("wide", { covered: true }, { at: NOW - 1000 });
    world.order({ type: "cover" }, NOW);
    const covered = (at: number) =>
      world.state.plan.rigs.flatMap(({ id }) => (isCoveredSince(world.rig(id, at), NOW) ? [id] : []));
    expect(covered(NOW + 1)).toEqual([]);
    world.report("west", { filter: "on", looked: true }, { at: NOW + 2000 });
    world.report("wide", { covered: true }, { at: NOW + 3000 });
    world.report("eye", { filter: "capped" }, { at: NOW + 4000 });
    expect(covered(NOW + 5000).sort()).toEqual(["eye", "west", "wide"]);
    expect(isCoveredSince(world.rig("west", NOW + 5000), null)).toBe(false);
    // S12: the cap of a rig without a filter is off again after the release; it never counts as capped.
    expect(world.rig("wide", NOW + 5000).filter).toBe("none by design");
  });
});
