/** Geometry of the pictures. Interpolation is checked against the solver's own track. */
import { geoArea, geoContains } from "d3-geo";
import { describe, expect, it } from "vitest";
import { beadsNear } from "../../../console/lead/plan/site/pictures/beads.ts";
import { niceScaleKm, pathBand } from "../../../console/lead/plan/site/pictures/path-shapes.ts";
import type { LonLat, TrackPoint } from "../../../console/lead/plan/site/pictures/picture-data.ts";
import { trackAt } from "../../../console/lead/plan/site/pictures/track-at.ts";
import { skylineAltDeg, trackPlot, unrolled } from "../../../console/lead/plan/site/pictures/track-plot.ts";
import { deviceCurves } from "../../../console/lead/set-up/clock/device-curves.ts";
import { circumstances } from "../../../shared/eclipse/circumstances.ts";
import { eclipseById } from "../../../shared/eclipse/table.ts";
import { track } from "../../../shared/eclipse/track.ts";

describe("the Sun's track on its plot", () => {
  it("does not jump where it passes north", () => {
    expect(unrolled([350, 355, 2, 8])).toEqual([350, 355, 362, 368]);
    expect(unrolled([5, 358, 350])).toEqual([5, -2, -10]);
    const plot = trackPlot(
      [350, 355, 2, 8].map((azimuthDeg) => ({ azimuthDeg, altitudeDeg: 40 })),
      [],
    );
    const xs = plot.track.map((point) => point.x);
    expect([...xs].sort((a, b) => a - b)).toEqual(xs);
    expect(plot.at({ azimuthDeg: 2, altitudeDeg: 40 }).x).toBeCloseTo(xs[2] ?? Number.NaN, 9);
  });

  it("keeps horizon and highest point inside", () => {
    const plot = trackPlot(
      [
        { azimuthDeg: 90, altitudeDeg: 10 },
        { azimuthDeg: 250, altitudeDeg: 82 },
      ],
      [],
    );
    for (const altitudeDeg of [0, 82]) {
      const { y } = plot.at({ azimuthDeg: 200, altitudeDeg });
      expect(y).toBeGreaterThan(0);
      expect(y).toBeLessThan(1);
    }
  });

  it("draws the skyline straight between its points and around through north", () => {
    const skyline: [number, number][] = [
      [90, 4],
      [120, 10],
      [300, 2],
    ];
    expect(skylineAltDeg(skyline, 105)).toBeCloseTo(7, 9);
    expect(skylineAltDeg(skyline, 90)).toBeCloseTo(4, 9);
    expect(skylineAltDeg(skyline, 15)).toBeCloseTo(3, 9);
    expect(skylineAltDeg(skyline, 375)).toBeCloseTo(3, 9);
    expect(skylineAltDeg([], 15)).toBeNull();
  });
});

describe("the disc between two minutes", () => {
  const point = (
    utcMs: number,
    separation: number,
    positionAngleDeg: number,
    azimuthDeg: number,
  ): TrackPoint => ({
    utcMs,
    separation,
    positionAngleDeg,
    azimuthDeg,
    altitudeDeg: 40,
    covered: 0.5,
    ratio: 1.05,
  });

  it("takes the Moon straight across the Sun's centre, not around it", () => {
    const middle = trackAt([point(0, 0.2, 90, 350), point(60_000, 0.2, 270, 10)], 30_000);
    expect(middle?.separation).toBeCloseTo(0, 9);
    expect(middle?.azimuthDeg).toBeCloseTo(0, 6);
  });

  // Reference: the solver's own maximum, which stands beside the picture.
  it("is covered at maximum as the solver says, not as a mean of the minutes about it", () => {
    const elements = eclipseById("2027-08-02");
    if (!elements) throw new Error("not in the table");
    for (let latDeg = 40; latDeg < 50; latDeg += 0.5) {
      const site = { latDeg, lonDeg: 12.5, heightM: 20 };
      const solved = circumstances(elements, site, {});
      const points = track(elements, site).map((one) => ({ ...one, covered: one.obscuration }));
      const at = trackAt(points, solved.contacts.max?.utcMs ?? 0);
      expect(Math.abs((at?.covered ?? 0) - solved.obscuration)).toBeLessThan(2e-5);
    }
  });

  it("stands still before and after the track", () => {
    const track = [point(1000, 2, 90, 100), point(2000, 1, 90, 101)];
    expect(trackAt(track, 0)?.separation).toBe(2);
    expect(trackAt(track, 9000)?.separation).toBe(1);
    expect(trackAt([], 0)).toBeNull();
  });
});

describe("the path on the map", () => {
  it("is the narrow band between its edges, whichever way round they are given", () => {
    const north: LonLat[] = [
      [0, 10],
      [20, 11],
      [40, 12],
    ];
    const south: LonLat[] = [
      [0, 8],
      [20, 9],
      [40, 10],
    ];
    for (const band of [pathBand({ north, south }), pathBand({ north: south, south: north })]) {
      if (!band) throw new Error("there are two edges");
      expect(geoArea(band)).toBeLessThan(0.1);
      expect(geoContains(band, [20, 10])).toBe(true);
      expect(geoContains(band, [20, 20])).toBe(false);
    }
    expect(pathBand({ north: [], south })).toBeNull();
  });

  it("has a scale of 1, 2 or 5 times a power of ten", () => {
    expect([0.7, 3, 49, 50, 260, 0].map(niceScaleKm)).toEqual([0.5, 2, 20, 50, 200, 0]);
  });
});

describe("the curves of the devices' clocks", () => {
  it("puts every device on one axis of time, with gaps where it said nothing", () => {
    const sample = (utcMs: number, deviceId: string, boundMs: number) => ({
      utcMs,
      deviceId,
      boundMs,
      offsetMs: 0,
      delayMs: 1,
    });
    const curves = deviceCurves([
      sample(0, "a", 3),
      sample(4100, "a", 2),
      sample(4200, "b", 9),
      sample(100, "a", 4),
    ]);
    expect(curves.atS).toEqual([0, 4]);
    expect(curves.devices.map((device) => [device.deviceId, device.boundMs])).toEqual([
      ["b", [null, 9]],
      ["a", [4, 2]],
    ]);
  });
});

describe("the beads", () => {
  const beads = { c2: [{ positionAngleDeg: 120, fromUtcMs: 1000, toUtcMs: 3000 }], c3: [] };

  it("are lit within their time, and marked as near a little before and after", () => {
    expect(beadsNear(beads, 2000, 500).map((bead) => bead.lit)).toEqual([true]);
    expect(beadsNear(beads, 600, 500).map((bead) => bead.lit)).toEqual([false]);
    expect(beadsNear(beads, 3501, 500)).toEqual([]);
    expect(beadsNear(null, 2000, 500)).toEqual([]);
  });
});
