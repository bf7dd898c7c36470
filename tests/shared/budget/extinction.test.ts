/** Air mass and extinction against their sources. */
import { describe, expect, test } from "vitest";
import { airMass, extinctionMag, extinctionStops, lowSunStops } from "../../../shared/budget/extinction.ts";

describe("air mass", () => {
  test("is that of Kasten & Young 1989, table 1 (38.09 at the horizon, 10.31 at 5°, 1.9939 at 30°; from memory)", () => {
    expect(airMass(90)).toBeCloseTo(0.9997, 3);
    expect(airMass(30)).toBeCloseTo(1.9939, 3);
    expect(airMass(5)).toBeCloseTo(10.31, 1);
    expect(airMass(0)).toBeGreaterThan(37.5);
    expect(airMass(0)).toBeLessThan(38.5);
  });
  test("is the secant of the zenith distance high up, to a thousandth", () => {
    for (const h of [45, 60, 75, 90]) expect(airMass(h)).toBeCloseTo(1 / Math.sin((h * Math.PI) / 180), 2);
  });
  test("is endless below the horizon", () => expect(airMass(-0.1)).toBe(Number.POSITIVE_INFINITY));
});

describe("extinction", () => {
  test("Green 1992 (International Comet Quarterly 14, 55): 0.28 mag at sea level, falling with height", () => {
    // His table gives 0.1451 for air at sea level (from memory); 0.120 dust and 0.016 ozone stand beside it.
    expect(extinctionMag(0)).toBeCloseTo(0.1451 + 0.12 + 0.016, 2);
    expect(extinctionMag(2500)).toBeLessThan(0.16);
    expect(extinctionMag(2500)).toBeGreaterThan(0.1);
  });
  test("in stops as worked by hand for k = 0.28 and 0.12: 30° 0.7/0.3, 12° 1.8/0.75, 5° 3.8/1.6", () => {
    const rows: [number, number, number][] = [
      [30, 0.7, 0.3],
      [12, 1.8, 0.75],
      [5, 3.8, 1.6],
    ];
    for (const [height, hazy, clear] of rows) {
      expect(Math.abs(extinctionStops(height, 0.28) - hazy)).toBeLessThan(0.08);
      expect(Math.abs(extinctionStops(height, 0.12) - clear)).toBeLessThan(0.08);
    }
  });
  test("a Sun overhead costs nothing more than the tables have in them", () => {
    expect(lowSunStops(90, 0.28)).toBeCloseTo(0, 9);
    expect(lowSunStops(12, 0.28)).toBeCloseTo(extinctionStops(12, 0.28) - 0.372, 2);
  });
});
