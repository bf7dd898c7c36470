/** What the public may know. */
import { describe, expect, it } from "vitest";
import { boardSnapshot } from "../../../hub/room/board.ts";
import { utcMs } from "../../../shared/time/instants.ts";
import { NORTH_SHORE, SiteWorld } from "../../shared/run/site-world.ts";

const NOW = Date.UTC(2027, 6, 25);

describe("the board's snapshot", () => {
  it("is small and names nobody", () => {
    const world = SiteWorld.planned({
      rigs: [{ id: "west", name: "West", kind: "tracked-telescope", operator: "Ada Nameless" }],
    });
    world.report("west", { filter: "off", help: true }, { at: NOW });
    const text = JSON.stringify(boardSnapshot(world.state, utcMs(NOW)));
    expect(text.length).toBeLessThan(2000);
    expect(text).not.toMatch(/Ada|phone|filter":|help/);
  });

  it("says what this place gets, and when", () => {
    const world = SiteWorld.planned();
    const { c2, c3 } = world.predicted;
    expect(boardSnapshot(world.state, utcMs(NOW))).toMatchObject({
      kind: "total",
      visible: true,
      eclipse: "2027-08-02",
      contacts: { c2, c3 },
      practice: null,
      cover: false,
    });
    const partial = SiteWorld.planned({ site: NORTH_SHORE });
    expect(boardSnapshot(partial.state, utcMs(NOW))).toMatchObject({
      kind: "partial",
      contacts: { c2: null },
    });
    expect(boardSnapshot(new SiteWorld().state, utcMs(NOW))).toMatchObject({ kind: "unset", eclipse: null });
  });

  it("carries calls while they stand, the practice with its end, and the cover", () => {
    const world = SiteWorld.planned();
    world.practise(NOW, -1);
    world.order({ type: "call", call: "totality" }, NOW + 1000);
    world.order({ type: "cover" }, NOW + 2000);
    const { c2 } = world.predicted;
    const snapshot = boardSnapshot(world.state, utcMs(NOW + 3000));
    expect(snapshot).toMatchObject({ cover: true, practice: { rate: 1, startedUtcMs: NOW } });
    expect(snapshot.calledTotalityMs).toBeCloseTo(c2, 0);
    world.order(
      { type: "takeBackCall", callId: world.view(NOW + 3000).run.calls[0]?.callId ?? "" },
      NOW + 4000,
    );
    expect(boardSnapshot(world.state, utcMs(NOW + 5000)).calledTotalityMs).toBeNull();
    const end = world.state.practice?.endsAtUtcMs ?? 0;
    expect(boardSnapshot(world.state, utcMs(end)).practice).toBeNull();
  });
});
