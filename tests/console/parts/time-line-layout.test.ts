import fc from "fast-check";
import { describe, expect, it } from "vitest";
import {
  cueTicks,
  STRETCH_SHARE,
  type TimeLineContacts,
  tickLength,
  timeLineLayout,
} from "../../../console/parts/time-line-layout.ts";

// Invented times of a total eclipse: C1 to C4 2 h 40 min, totality 4 min 11 s.
const total: TimeLineContacts = {
  c1: 0,
  c2: 4_560_000,
  max: 4_685_500,
  c3: 4_811_000,
  c4: 9_600_000,
};
const partial: TimeLineContacts = { ...total, c2: null, c3: null };

function layoutOf(contacts: TimeLineContacts) {
  const layout = timeLineLayout(contacts);
  if (!layout) throw new Error("no layout");
  return layout;
}

describe("the line of time", () => {
  it("is drawn to scale at a partial site, with no break", () => {
    const layout = layoutOf(partial);
    expect(layout.stretch).toBeNull();
    expect(layout.inner).toBeNull();
    expect(layout.at(4_800_000)).toBeCloseTo(0.5, 9);
    expect(layout.at(2_400_000) - layout.at(0)).toBeCloseTo(layout.at(9_600_000) - layout.at(7_200_000), 9);
  });

  it("keeps one scale on both sides of the stretched piece", () => {
    const layout = layoutOf(total);
    const before = layout.at(1_000_000) - layout.at(0);
    const after = layout.at(9_000_000) - layout.at(8_000_000);
    expect(before).toBeCloseTo(after, 9);
    expect(before).toBeLessThan((1_000_000 / 4_560_000) * 0.5);
  });

  it("stretches totality and the seconds around it, so that C2−20 s stands clear of C2", () => {
    const layout = layoutOf(total);
    expect(layout.stretch!.to - layout.stretch!.from).toBeCloseTo(STRETCH_SHARE, 9);
    expect(layout.inner!.to - layout.inner!.from).toBeGreaterThan(0.2);
    expect(layout.at(total.c2!) - layout.at(total.c2! - 20_000)).toBeGreaterThan(0.015);
  });

  it("gives a totality of ten seconds a box that can be seen", () => {
    const layout = layoutOf({ ...total, c2: 4_680_500, c3: 4_690_500 });
    expect(layout.inner!.to - layout.inner!.from).toBeGreaterThan(0.03);
  });

  it("never runs backwards and stays within its ends", () => {
    const layout = layoutOf(total);
    fc.assert(
      fc.property(fc.integer({ min: -2e6, max: 12e6 }), fc.integer({ min: 0, max: 1e6 }), (ms, more) => {
        const x = layout.at(ms);
        expect(x).toBeGreaterThanOrEqual(0);
        expect(layout.at(ms + more)).toBeGreaterThanOrEqual(x);
        expect(layout.at(ms + more)).toBeLessThanOrEqual(1);
      }),
    );
  });

  it("is continuous at the breaks", () => {
    const layout = layoutOf(total);
    for (const edge of [layout.stretch!.fromMs, layout.stretch!.toMs])
      expect(layout.at(edge + 1) - layout.at(edge - 1)).toBeLessThan(1e-4);
  });

  it("is not drawn where there is no eclipse", () => {
    expect(timeLineLayout({ c1: null, c2: null, max: null, c3: null, c4: null })).toBeNull();
    expect(timeLineLayout({ c1: null, c2: null, max: 5, c3: null, c4: null })).toBeNull();
  });

  it("draws cues as ticks and counts those beyond its ends", () => {
    const cue = (id: string, dueMs: number) => ({
      id,
      dueMs,
      fromMs: dueMs - 30_000,
      toMs: dueMs,
      handsS: 15,
    });
    const row = cueTicks(layoutOf(total), [
      cue("focus", -3_600_000),
      cue("filter-off", 4_540_000),
      cue("cap", 12_000_000),
    ]);
    expect(row.ticks.map((tick) => tick.id)).toEqual(["filter-off"]);
    expect(row.ticks[0]!.from).toBeLessThan(row.ticks[0]!.x);
    expect(row.ticks[0]!.to).toBe(row.ticks[0]!.x);
    expect([row.before, row.after]).toEqual([1, 1]);
  });

  it("makes ticks longer with hands-on time, up to a minute", () => {
    expect(tickLength(0)).toBeGreaterThan(0);
    expect(tickLength(20)).toBeGreaterThan(tickLength(5));
    expect(tickLength(600)).toBe(1);
  });
});
