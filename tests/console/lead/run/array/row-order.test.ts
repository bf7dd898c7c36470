/**
 * The rule is our own (the array's rows keep their places, worst on top, ten calm seconds):
 * there is no outside source for it. The properties are checked on random histories too.
 */
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import {
  CALM_MS,
  orderRows,
  type RaisedRows,
  type Rank,
  type RowTrouble,
} from "../../../../../console/lead/run/array/row-order.ts";

const names = ["kite", "plover", "swift", "heron"];
const rows = (troubles: Record<string, Rank>): RowTrouble[] =>
  names.map((rigId) => ({ rigId, rank: troubles[rigId] ?? null }));

/** Runs a history of [ms, troubles] and gives the last order. */
function orderAfter(history: [number, Record<string, Rank>][]): string[] {
  let raised: RaisedRows = {};
  let order: string[] = [];
  for (const [ms, troubles] of history) ({ order, raised } = orderRows(raised, rows(troubles), ms));
  return order;
}

describe("order of the array's rows", () => {
  it("is the plan's order while all is well", () => {
    expect(orderAfter([[0, {}]])).toEqual(names);
  });

  it("puts danger above caution and both above the rest", () => {
    expect(orderAfter([[0, { swift: 1, heron: 0 }]])).toEqual(["heron", "swift", "kite", "plover"]);
  });

  it("raises a row at once", () => {
    expect(
      orderAfter([
        [0, {}],
        [1, { heron: 1 }],
      ])[0],
    ).toBe("heron");
  });

  it("keeps a row up for ten calm seconds, then lets it go back to its place", () => {
    const history: [number, Record<string, Rank>][] = [
      [0, { heron: 1 }],
      [1000, {}],
    ];
    expect(orderAfter([...history, [1000 + CALM_MS - 1, {}]])[0]).toBe("heron");
    expect(orderAfter([...history, [1000 + CALM_MS, {}]])).toEqual(names);
  });

  it("counts the ten seconds anew when trouble comes back", () => {
    expect(
      orderAfter([
        [0, { heron: 1 }],
        [1000, {}],
        [9000, { heron: 1 }],
        [10_000, {}],
        [15_000, {}],
      ])[0],
    ).toBe("heron");
  });

  it("leaves the row that rose first above one that is as bad", () => {
    expect(
      orderAfter([
        [0, { heron: 1 }],
        [500, { heron: 1, kite: 1 }],
      ]),
    ).toEqual(["heron", "kite", "plover", "swift"]);
  });

  it("lets a danger that has become a caution sink among the cautions only after ten seconds", () => {
    const history: [number, Record<string, Rank>][] = [
      [0, { swift: 1, heron: 0 }],
      [1000, { swift: 1, heron: 1 }],
    ];
    expect(orderAfter([...history, [1000 + CALM_MS - 1, { swift: 1, heron: 1 }]]).slice(0, 2)).toEqual([
      "heron",
      "swift",
    ]);
    const later = orderAfter([...history, [1000 + CALM_MS, { swift: 1, heron: 1 }]]);
    expect(new Set(later.slice(0, 2))).toEqual(new Set(["heron", "swift"]));
  });

  it("has every rig once, and never one in danger below one that is not, in any history", () => {
    const rank = fc.constantFrom<Rank>(0, 1, null);
    const step = fc.tuple(fc.integer({ min: 0, max: 15_000 }), fc.tuple(rank, rank, rank, rank));
    fc.assert(
      fc.property(fc.array(step, { minLength: 1, maxLength: 30 }), (steps) => {
        let raised: RaisedRows = {};
        let ms = 0;
        for (const [dt, ranks] of steps) {
          ms += dt;
          const now = names.map((rigId, i) => ({ rigId, rank: ranks[i] ?? null }));
          const result = orderRows(raised, now, ms);
          raised = result.raised;
          expect([...result.order].sort()).toEqual([...names].sort());
          const held = result.order.map((id) => result.raised[id]?.rank ?? 2);
          expect(held).toEqual([...held].sort());
          for (const row of now)
            if (row.rank !== null) expect(result.raised[row.rigId]?.rank).toBeLessThanOrEqual(row.rank);
        }
      }),
    );
  });
});
