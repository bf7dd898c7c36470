/** The picture of a camera's clock and its figures: nothing outside, nothing rounded to the better. */
import { describe, expect, it } from "vitest";
import {
  layoutClockPicture,
  PICTURE,
} from "../../../../../console/lead/after/camera-clocks/clock-picture-layout.ts";
import {
  clockFigures,
  zoneOffsetText,
} from "../../../../../console/lead/after/camera-clocks/clock-sentence.ts";
import { intervalOf } from "../../../../../shared/images/camera-clock/photographs.ts";
import { offsetAt, solveIntervals } from "../../../../../shared/images/camera-clock/solve.ts";

const C2 = Date.UTC(2027, 7, 2, 10, 2, 8);
const photo = (atMs: number, aheadMs: number) =>
  intervalOf({
    stampMs: C2 + atMs + 100 + aheadMs,
    stepMs: 10,
    shownUtcMs: C2 + atMs,
    holdMs: 200,
    boundMs: 5,
  });
const intervals = [
  photo(-5_400_000, 3410),
  photo(-5_399_000, 3410),
  photo(5_400_000, 3410),
  photo(5_401_000, 9000),
  photo(5_402_000, 3410),
];
const clock = solveIntervals(intervals);
if (!clock) throw new Error("nothing fits");

describe("the picture", () => {
  it("has a column for each burst and each contact, in order, every bar inside", () => {
    const contacts = [
      { label: "C2", utcMs: C2 },
      { label: "C3", utcMs: C2 + 180_000 },
    ];
    const { columns, ticks } = layoutClockPicture(intervals, clock, contacts);
    expect(columns.map(({ label }) => label)).toEqual(["", "C2", "C3", ""]);
    expect(columns.flatMap(({ bars }) => bars).map(({ index, used }) => [index, used])).toEqual([
      [0, true],
      [1, true],
      [2, true],
      [3, false],
      [4, true],
    ]);
    const floor = PICTURE.height - PICTURE.bottom;
    for (const column of columns) {
      expect(column.x + column.width).toBeLessThanOrEqual(PICTURE.width - PICTURE.right + 0.01);
      for (const [top, bottom] of [column.band.left, column.band.right]) {
        expect(top).toBeGreaterThanOrEqual(PICTURE.top);
        expect(bottom).toBeLessThanOrEqual(floor);
        expect(top).toBeLessThan(bottom);
      }
      for (const bar of column.bars) {
        expect(bar.x).toBeGreaterThan(column.x);
        expect(bar.x).toBeLessThan(column.x + column.width);
      }
    }
    expect(ticks.length).toBeGreaterThanOrEqual(2);
  });
});

describe("the figures", () => {
  it("say fast or slow, and a bound that covers its own rounding", () => {
    const { offsetMs, boundMs } = offsetAt(clock, C2);
    const figures = clockFigures(clock, 0, C2);
    expect(figures.way).toBe("fast");
    const said = Number(figures.offset);
    expect(said + Number(figures.bound)).toBeGreaterThanOrEqual((offsetMs + boundMs) / 1000);
    expect(said - Number(figures.bound)).toBeLessThanOrEqual((offsetMs - boundMs) / 1000);
    // As if it had been set to UTC+0:15: a quarter of an hour less is slow.
    expect(clockFigures(clock, 15, C2).way).toBe("slow");
  });

  it.each([
    [0, "0:00"],
    [180, "+3:00"],
    [-345, "−5:45"],
  ])("write a zone of %i min as %s", (min, text) => {
    expect(zoneOffsetText(min)).toBe(text);
  });
});
