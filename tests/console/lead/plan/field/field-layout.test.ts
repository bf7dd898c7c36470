/** The drawing of the field, by hand. */
import { describe, expect, test } from "vitest";
import {
  barM,
  movedBy,
  PICTURE,
  toPicture,
  toSpot,
  viewOf,
  walksOf,
} from "../../../../../console/lead/plan/field/field-layout.ts";

describe("the field", () => {
  const spots = { a: { eastM: 0, northM: 0 }, b: { eastM: 12, northM: -5 }, c: { eastM: 3, northM: 4 } };

  test("is drawn with all rigs in it, and a point comes back as the place that it stands for", () => {
    const view = viewOf(spots);
    for (const spot of Object.values(spots)) {
      const at = toPicture(spot, view);
      expect(at.x).toBeGreaterThan(0);
      expect(at.x).toBeLessThan(PICTURE.width);
      expect(at.y).toBeGreaterThan(0);
      expect(at.y).toBeLessThan(PICTURE.height);
      expect(toSpot(at, view)).toEqual(spot);
    }
    // North is up, east is right.
    expect(toPicture(spots.c, view).y).toBeLessThan(toPicture(spots.a, view).y);
    expect(toPicture(spots.c, view).x).toBeGreaterThan(toPicture(spots.a, view).x);
    expect(viewOf({})).toEqual({ middle: { eastM: 0, northM: 0 }, reachM: 20 });
  });

  test("places are half metres, and never outside what a plan may hold", () => {
    const view = { middle: { eastM: 0, northM: 0 }, reachM: 20 };
    // 320 units are 20 m: one unit is 6.25 cm.
    expect(toSpot({ x: 320 + 9, y: 220 - 21 }, view)).toEqual({ eastM: 0.5, northM: 1.5 });
    expect(toSpot({ x: 1e9, y: 1e9 }, view)).toEqual({ eastM: 1000, northM: -1000 });
    expect(movedBy({ eastM: 999, northM: 0 }, 5, -1)).toEqual({ eastM: 1000, northM: -1 });
  });

  test("tells the walk between rigs in one pair of hands only", () => {
    const rigs = [
      { id: "a", operator: "Ada" },
      { id: "b", operator: " ada" },
      { id: "c", operator: "Ben" },
      { id: "d", operator: "Ada" },
    ];
    // 13 m at 1.2 m/s and 2 s to turn to it: 12.8 s.
    expect(walksOf(rigs, spots)).toEqual([{ from: "a", to: "b", seconds: 13 }]);
  });

  test("has a bar of a round length", () => {
    expect([5, 20, 160, 1000].map(barM)).toEqual([2, 10, 50, 500]);
  });
});
