/** What the public may know. */
import { describe, expect, it } from "vitest";
import { boardSnapshot } from "../../../hub/feeds/board-snapshot.ts";
import { GOOD_CLOCK } from "../../../shared/run/doubt.ts";
import { utcMs } from "../../../shared/time/instants.ts";
import { NORTH_SHORE, SiteWorld } from "../../shared/run/site-world.ts";

const NOW = Date.UTC(2027, 6, 25);

describe("the board's snapshot", () => {
  it("is small and names nobody", () => {
    const world = SiteWorld.planned({
      rigs: [{ id: "west", name: "West", kind: "tracked-telescope", operator: "Ada Nameless" }],
    });
    world.report("west", { filter: "off", help: true }, { at: NOW });
    const text = JSON.stringify(boardSnapshot(world.state, utcMs(NOW), GOOD_CLOCK));
    expect(text.length).toBeLessThan(2000);
    expect(text).not.toMatch(/Ada|phone|filter":|help/);
  });

  it("says what this place gets, and when", () => {
    const world = SiteWorld.planned();
    const { c2, c3 } = world.predicted;
    expect(boardSnapshot(world.state, utcMs(NOW), GOOD_CLOCK)).toMatchObject({
      kind: "total",
      visible: true,
      eclipse: "2027-08-02",
      contacts: { c2, c3 },
      practice: null,
      cover: false,
    });
    const partial = SiteWorld.planned({ site: NORTH_SHORE });
    expect(boardSnapshot(partial.state, utcMs(NOW), GOOD_CLOCK)).toMatchObject({
      kind: "partial",
      contacts: { c2: null },
    });
    expect(boardSnapshot(new SiteWorld().state, utcMs(NOW), GOOD_CLOCK)).toMatchObject({
      kind: "unset",
      eclipse: null,
    });
  });

  it("carries calls while they stand, the practice with its end, and the cover", () => {
    const world = SiteWorld.planned();
    world.practise(NOW, -1);
    world.order({ type: "call", call: "totality" }, NOW + 1000);
    const { c2 } = world.predicted;
    const snapshot = boardSnapshot(world.state, utcMs(NOW + 1500), GOOD_CLOCK);
    expect(snapshot).toMatchObject({ cover: false, practice: { rate: 1, startedUtcMs: NOW } });
    expect(snapshot.calledTotalityMs).toBeCloseTo(c2, 0);
    world.order({ type: "cover" }, NOW + 2000);
    expect(boardSnapshot(world.state, utcMs(NOW + 3000), GOOD_CLOCK)).toMatchObject({
      cover: true,
      calledTotalityMs: null,
    });
    // It stands no more, and yet it was called: whoever comes later is told.
    expect(boardSnapshot(world.state, utcMs(NOW + 3000), GOOD_CLOCK).calledOut?.totalityMs).toBe(
      snapshot.calledTotalityMs,
    );
    world.order(
      { type: "takeBackCall", callId: world.view(NOW + 3000).run.calls[0]?.callId ?? "" },
      NOW + 4000,
    );
    expect(boardSnapshot(world.state, utcMs(NOW + 5000), GOOD_CLOCK)).toMatchObject({
      calledTotalityMs: null,
      calledOut: { totalityMs: null, returnMs: null },
    });
    const end = world.state.practice?.endsAtUtcMs ?? 0;
    expect(boardSnapshot(world.state, utcMs(end), GOOD_CLOCK).practice).toBeNull();
  });

  it("says when glasses go on: earlier by the doubt, settled by a call, the earliest of any rig", () => {
    const world = SiteWorld.planned();
    const { c2, c3 } = world.predicted;
    const at = (now: number, clock = GOOD_CLOCK) => boardSnapshot(world.state, utcMs(now), clock).contacts;
    expect(at(c2).safeC3).toBe(c3);
    const slow = { ...GOOD_CLOCK, apartMs: 90_000 };
    const placeS = world.state.circumstances?.timingBoundS ?? 0;
    const expected = c3 - 90_000 - placeS * 1000;
    expect(at(c2, slow).safeC3).toBeLessThanOrEqual(expected);
    expect(at(c2, slow).safeC3).toBeGreaterThan(expected - 501);
    world.order({ type: "call", call: "totality" }, c2 + 3000);
    expect(at(c2 + 4000, slow).safeC3).toBeGreaterThan(c3 - 20_000);
    expect(at(c2 + 4000, slow).filterC3).toBe(c3);
  });

  it("S6: what made things safe and was taken back leaves no call of totality standing", () => {
    const world = SiteWorld.planned();
    const { c2 } = world.predicted;
    const standing = (now: number) => boardSnapshot(world.state, utcMs(now), GOOD_CLOCK).calledTotalityMs;
    const last = () => world.view(c2 + 5000).run.calls.at(-1)?.callId ?? "";
    for (const call of ["sun returns", "stay filtered"] as const) {
      world.order({ type: "call", call: "totality" }, c2 + 1000);
      expect(standing(c2 + 2000)).not.toBeNull();
      world.order({ type: "call", call }, c2 + 3000);
      world.order({ type: "takeBackCall", callId: last() }, c2 + 4000);
      expect(standing(c2 + 5000)).toBeNull();
    }
    world.order({ type: "call", call: "totality" }, c2 + 6000);
    world.order({ type: "cover" }, c2 + 7000);
    world.order({ type: "releaseCover" }, c2 + 8000);
    expect(standing(c2 + 9000)).toBeNull();
  });
});
