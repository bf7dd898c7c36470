/** S7 in the state; that it is shown first and logged after is tested with the hub's sockets. */
import { describe, expect, test } from "vitest";
import { upcast } from "../../../../shared/run/upcasts.ts";
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
    expect(world.state.runs[runId]?.ended).toBe(true);
    expect(world.state.cover?.sinceUtcMs).toBe(NOW + 1);
    expect(replayed(world.log, upcast).cover?.sinceUtcMs).toBe(NOW + 1);
    world.order({ type: "releaseCover" }, NOW + 8);
    expect(world.state.cover).toBeNull();
    // Told though this state knows of no cover: a page may have heard one that was never logged.
    expect(world.order({ type: "releaseCover" }, NOW + 9)).toMatchObject({
      events: [{ type: "coverReleased" }],
    });
  });
});
