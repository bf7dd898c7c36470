import { expect, test } from "vitest";
import type { TimedRow } from "../../../../../console/lead/after/images/image-row.ts";
import {
  inkOf,
  lightStops,
  momentAt,
  nextFrameMs,
  rowAt,
} from "../../../../../console/lead/after/images/picture-layout.ts";
import { timeLineLayout } from "../../../../../console/parts/time-line-layout.ts";

const C1 = 1_817_196_017_000;
const contacts = { c1: C1, c2: C1 + 4_911_000, max: C1 + 5_100_000, c3: C1 + 5_288_000, c4: C1 + 9_977_000 };
const row = (atMs: number, more: Partial<TimedRow> = {}): TimedRow =>
  ({ atMs, kind: "image", exposureS: null, fNumber: null, iso: null, durationS: null, ...more }) as TimedRow;

test("the hand's place on the picture is the moment that is drawn there", () => {
  const layout = timeLineLayout(contacts);
  if (!layout) throw new Error("no layout");
  for (let ms = C1; ms <= contacts.c4; ms += 61_000)
    expect(momentAt(layout, layout.at(ms))).toBeCloseTo(ms, 0);
  expect([momentAt(layout, -1), momentAt(layout, 2)]).toEqual([layout.fromMs, layout.toMs]);
});

// A stop is a doubling of light: 1 s at f/1 and ISO 100 is 0 (the definition of exposure value, with its sign).
test("light is counted in stops of exposure, aperture and ISO", () => {
  expect(lightStops({ exposureS: 1, fNumber: null, iso: 100 })).toBe(0);
  expect(lightStops({ exposureS: 1 / 8, fNumber: 2, iso: 400 })).toBeCloseTo(-3 - 2 + 2, 10);
  expect(lightStops({ exposureS: null, fNumber: 8, iso: 100 })).toBeNull();
});

test("the shortest exposure gets all the ink, the longest least, whatever else there is", () => {
  const rows = [row(1, { exposureS: 1 / 4000 }), row(2, { exposureS: 1 / 60 }), row(3, { exposureS: 4 })];
  const ink = inkOf(rows);
  const [dark = 0, middle = 0, pale = 0] = rows.map(ink);
  expect(dark).toBe(1);
  expect(dark).toBeGreaterThan(middle);
  expect(middle).toBeGreaterThan(pale);
  expect(pale).toBeGreaterThan(0.2);
});

test("a second is shown by its still, else by the video that runs, else by nothing", () => {
  const video = row(1000, { kind: "video", durationS: 60 });
  const still = row(30_000);
  expect(rowAt([video, still], 28_000, 10_000)).toBe(still);
  expect(rowAt([video, still], 50_000, 10_000)).toBe(video);
  expect(rowAt([video, still], 90_000, 10_000)).toBeNull();
});

test("the next frame and the one before are those of any rig", () => {
  const rows = [row(1000), row(2000), row(5000)];
  expect([nextFrameMs(rows, 2000, true), nextFrameMs(rows, 2000, false)]).toEqual([5000, 1000]);
  expect([nextFrameMs(rows, 5000, true), nextFrameMs(rows, 1000, false)]).toEqual([null, null]);
});
