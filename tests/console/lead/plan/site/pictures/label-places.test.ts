/** Names beside the points of a plot: plane geometry and our own rule. */
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import {
  boxOf,
  type LabelPlace,
  labelPlaces,
} from "../../../../../../console/lead/plan/site/pictures/label-places.ts";

const room = { width: 104, height: 24, clearance: 11, left: 44, right: 640, top: 0, bottom: 284 };
type Box = ReturnType<typeof boxOf>;
const overlap = (a: Box, b: Box) => a.x0 < b.x1 && b.x0 < a.x1 && a.y0 < b.y1 && b.y0 < a.y1;
const boxes = (places: readonly LabelPlace[]) => places.map((place) => boxOf(place, room));

function apart(all: readonly Box[]): boolean {
  return all.every((a, i) => all.every((b, j) => i >= j || !overlap(a, b)));
}

describe("names beside the points of a plot", () => {
  it("stand above their points where there is room", () => {
    const places = labelPlaces([{ x: 200, y: 150 }], [], room);
    expect(places[0]).toMatchObject({ anchor: "start" });
    expect(places[0]?.y).toBeLessThan(150);
  });

  it("do not cover each other where C1 and C4 stand one above the other, nor C2 and C3 side by side", () => {
    const upright = [
      { x: 300, y: 150 },
      { x: 330, y: 110 },
      { x: 333, y: 106 },
      { x: 310, y: 165 },
    ];
    expect(apart(boxes(labelPlaces(upright, upright, room)))).toBe(true);
  });

  it("cover no point where C2 and C3 stand close together under the upper edge", () => {
    const points = [
      { x: 82, y: 54 },
      { x: 400, y: 19 },
      { x: 419, y: 20 },
      { x: 605, y: 66 },
    ];
    const found = boxes(labelPlaces(points, points, room));
    expect(apart(found)).toBe(true);
    for (const box of found)
      for (const { x, y } of points)
        expect(overlap(box, { x0: x - 5, x1: x + 5, y0: y - 5, y1: y + 5 })).toBe(false);
  });

  it("stay inside, in every corner", () => {
    for (const x of [46, 638])
      for (const y of [2, 282]) {
        const [box] = boxes(labelPlaces([{ x, y }], [], room));
        expect(box && box.x0 >= 44 && box.x1 <= 640 && box.y0 >= 0 && box.y1 <= 284).toBe(true);
      }
  });

  it("cover the curve less than the first place would", () => {
    const curve = Array.from({ length: 60 }, (_, n) => ({ x: 100 + n * 2, y: 200 - n * 2 }));
    const [place] = labelPlaces([{ x: 100, y: 200 }], curve, room);
    const box = boxOf(place as LabelPlace, room);
    const inside = curve.filter(({ x, y }) => x > box.x0 && x < box.x1 && y > box.y0 && y < box.y1);
    expect(inside).toEqual([]);
  });

  it("never cover each other where two points are, wherever that is", () => {
    const point = fc.record({ x: fc.integer({ min: 60, max: 620 }), y: fc.integer({ min: 20, max: 260 }) });
    fc.assert(
      fc.property(point, point, (a, b) => {
        expect(apart(boxes(labelPlaces([a, b], [], room)))).toBe(true);
      }),
      { numRuns: 300 },
    );
  });
});
