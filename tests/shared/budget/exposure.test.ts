/**
 * Exposures against NASA RP 1369, Table 16 (F. Espenak and J. Anderson, 1995, "Total Solar Eclipse of
 * 1997 March 9"; tests/fixtures/budget/published-exposure.json names address and reading).
 */
import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { bracketsThatFit, coronaBracket, EXTRA_STOPS } from "../../../shared/budget/bracket.ts";
import { CAMERA_STOPS, nearestStop, readShutter } from "../../../shared/budget/camera-stops.ts";
import { exposureS, exposures, workingOptics } from "../../../shared/budget/exposure.ts";
import { brightnessQ, type Phenomenon, partialQ } from "../../../shared/budget/phenomena.ts";
import published from "../../fixtures/budget/published-exposure.json" with { type: "json" };

/** The rows of the table, as phenomena of ours and a filter's density. */
const ROWS: Record<string, [Phenomenon, number]> = {
  "partial 4.0 ND": ["partial", 4],
  "partial 5.0 ND": ["partial", 5],
  "Baily's beads": ["beads", 5],
  chromosphere: ["chromosphere", 5],
  prominences: ["prominences", 5],
  "corona 0.1 Rs": ["corona-0.1", 5],
  "corona 0.2 Rs (also diamond ring)": ["corona-0.2", 5],
  "corona 0.5 Rs": ["corona-0.5", 5],
  "corona 1.0 Rs": ["corona-1", 5],
  "corona 2.0 Rs": ["corona-2", 5],
  "corona 4.0 Rs": ["corona-4", 5],
  "corona 8.0 Rs": ["corona-8", 5],
};
const COLUMNS = published.table.ISO25_f_columns;
/** "same columns move one place per stop": ISO of each shift of the f-numbers. */
const SPEEDS = [25, 50, 100, 200, 400, 800, 1600];

describe("the published table", () => {
  const rows = Object.entries(published.table.rows) as [string, (string | number | null)[]][];
  test("has every row that we name, with our exponent", () => {
    expect(rows.map(([name]) => name).sort()).toEqual(Object.keys(ROWS).sort());
    for (const [name, [q]] of rows) {
      const [phenomenon, density] = ROWS[name] as [Phenomenon, number];
      expect(brightnessQ(phenomenon, density)).toBe(q);
    }
  });

  test("is met in every cell and at every ISO to half a stop, as printed", () => {
    let cells = 0;
    for (const [name, [, ...times]] of rows) {
      const [phenomenon, density] = ROWS[name] as [Phenomenon, number];
      for (const [place, iso] of SPEEDS.entries())
        for (let column = 0; column + place < COLUMNS.length; column++) {
          const printed = times[column];
          if (printed === null || printed === undefined) continue;
          const fNumber = COLUMNS[column + place] as number;
          const ours = exposureS(fNumber, iso, brightnessQ(phenomenon, density));
          const theirs = readShutter(String(printed)) as number;
          expect(Math.abs(Math.log2(ours / theirs)), `${name} f/${fNumber} ISO ${iso}`).toBeLessThanOrEqual(
            0.5,
          );
          cells++;
        }
    }
    expect(cells).toBe(428);
  });
});

test("a rig's own list has the table's phenomena, and no partial phase without a filter", () => {
  const needs = { fNumber: 8, iso: 100, filterDensity: 5, lossStops: 0 };
  const lines = exposures(needs);
  // RP 1369, Table 16, ISO 100 at f/8: partial behind density 5 1/500, beads 1/8000, prominences 1/1000, corona 0.5 Rs 1/15.
  const stop = (of: Phenomenon) => lines.find(({ phenomenon }) => phenomenon === of)?.stop;
  expect([stop("partial"), stop("prominences"), stop("corona-0.5")]).toEqual(["1/400", "1/800", "1/13"]);
  expect(exposures({ ...needs, filterDensity: null }).map(({ phenomenon }) => phenomenon)).not.toContain(
    "partial",
  );
  // The Sun behind density 5: about 1/150–1/600 s at common settings (common practice, no source).
  expect(lines[0]?.seconds).toBeGreaterThan(1 / 600);
  expect(lines[0]?.seconds).toBeLessThan(1 / 150);
});

test("where the camera has no such time, it says by how many stops", () => {
  const [partial] = exposures({ fNumber: 1.4, iso: 6400, filterDensity: 4, lossStops: 0 });
  expect(partial?.stop).toBe("1/8000");
  expect(partial?.offStops).toBeCloseTo(Math.log2(2 ** -13 / (1.96 / (6400 * 2048))), 6);
});

test("density 3.8, 4 and 5 are 12.6, 13.3 and 16.6 stops apart as density is defined (log2 10 a unit)", () => {
  expect(partialQ(3.8) - partialQ(4)).toBeCloseTo(0.2 * Math.log2(10), 9);
  expect(partialQ(5) - partialQ(6)).toBeCloseTo(Math.log2(10), 9);
  // The published table rounds the unit between 4 and 5 to three stops.
  expect(partialQ(4.5)).toBeCloseTo(9.5, 9);
});

describe("camera stops", () => {
  test("run in thirds from 1/8000 to 30 s, and every printed name reads as what it stands for to 0.09 stop", () => {
    for (const { name, seconds } of CAMERA_STOPS)
      expect(Math.abs(Math.log2((readShutter(name) as number) / seconds)), name).toBeLessThan(0.1);
    expect(CAMERA_STOPS[0]?.name).toBe("1/8000");
  });
  test("nothing offered is nearer than the nearest", () => {
    fc.assert(
      fc.property(fc.double({ min: 1e-4, max: 200, noNaN: true }), (seconds) => {
        const best = Math.abs(Math.log2(nearestStop(seconds).seconds / seconds));
        for (const stop of CAMERA_STOPS)
          expect(Math.abs(Math.log2(stop.seconds / seconds))).toBeGreaterThanOrEqual(best - 1e-12);
      }),
    );
  });
  test("what is no shutter time is not read", () => {
    for (const text of ["", "fast", "1/0", "-1", "0", "1/", "1//2"])
      expect(readShutter(text)).toBeUndefined();
  });
});

describe("optics", () => {
  test("an extender lengthens focal length and f-number alike", () => {
    // By hand: 80 mm free, 480 mm: f/6; with 1.5: 720 mm f/9.
    const optics = { focalLengthMm: 480, apertureMm: 80, fNumber: null, factor: 1.5 };
    expect(workingOptics(optics)).toEqual({ focalLengthMm: 720, fNumber: 9 });
    expect(workingOptics({ ...optics, apertureMm: null })).toBeUndefined();
  });
});

describe("a bracket over the corona", () => {
  const needs = {
    fNumber: 8,
    iso: 400,
    lossStops: 0,
    from: "prominences",
    to: "corona-4",
    stepStops: 2,
    gapS: 0.5,
  } as const;
  test("runs from the shortest to two stops beyond the longest", () => {
    const { frames, lengthS } = coronaBracket(needs);
    // By hand: f/8 ISO 400: prominences 64/400/512 = 1/3200 s, corona 4 Rs 64/400·2 = 0.32 s, two stops more 1.28 s.
    expect(frames[0]?.name).toBe("1/3200");
    expect(frames.at(-1)?.seconds).toBeGreaterThanOrEqual(1.28 * 2 ** (-1 / 6));
    expect(EXTRA_STOPS).toBe(2);
    // 12 stops in steps of 2 are 7 frames; by hand 1/3200+1/800+1/200+1/50+1/13+1/3+1.3 ≈ 1.7 s, and 7 gaps of 0.5 s.
    expect(frames).toHaveLength(7);
    expect(lengthS).toBeCloseTo(1.7 + 3.5, 0);
  });
  test("says how many fit into what totality leaves", () => {
    const bracket = coronaBracket(needs);
    expect(bracketsThatFit(bracket, 4)).toBe(0);
    expect(bracketsThatFit(bracket, 60)).toBe(Math.floor(60 / bracket.lengthS));
  });
  test("never asks for a frame twice, whatever is asked", () => {
    fc.assert(
      fc.property(
        fc.double({ min: 1.4, max: 22, noNaN: true }),
        fc.integer({ min: 50, max: 12_800 }),
        fc.double({ min: 0.33, max: 3, noNaN: true }),
        (fNumber, iso, stepStops) => {
          const { frames } = coronaBracket({ ...needs, fNumber, iso, stepStops });
          expect(new Set(frames.map(({ name }) => name)).size).toBe(frames.length);
          for (const [i, frame] of frames.entries())
            if (i > 0) expect(frame.seconds).toBeGreaterThan((frames[i - 1] as { seconds: number }).seconds);
        },
      ),
    );
  });
});
