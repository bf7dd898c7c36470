/** Distances along the ground against published geodesics. */
import { expect, it } from "vitest";
import { groundKm } from "../../../shared/eclipse/ground-distance.ts";

// Geoscience Australia, GDA technical manual, sample data for Vincenty's formulae: Flinders Peak
// (37°57′03.72030″ S, 144°25′29.52440″ E) to Buninyong (37°39′10.15610″ S, 143°55′35.38390″ E).
it("is within a metre of the published 54 972.271 m from Flinders Peak to Buninyong", () => {
  const flindersPeak = { latDeg: -37.9510334166667, lonDeg: 144.424867888889 };
  const buninyong = { latDeg: -37.6528211388889, lonDeg: 143.926495527778 };
  expect(Math.abs(groundKm(flindersPeak, buninyong) - 54.972271)).toBeLessThan(0.001);
  expect(Math.abs(groundKm(buninyong, flindersPeak) - 54.972271)).toBeLessThan(0.001);
});

// WGS84: a quarter of the meridian is 10 001.966 km, of the equator 10 018.754 km (π a / 2). An arc
// on a sphere that fits one end is good to half a per cent at such a length.
it("is within half a per cent of a quarter of the Earth", () => {
  const origin = { latDeg: 0, lonDeg: 0 };
  expect(groundKm(origin, { latDeg: 90, lonDeg: 0 }) / 10_001.966).toBeCloseTo(1, 2);
  expect(groundKm(origin, { latDeg: 0, lonDeg: 90 }) / 10_018.754).toBeCloseTo(1, 2);
});

it("takes the short way over the date line and beside a pole", () => {
  // 0.02° of the equator: 0.02 × 111.3195 km (WGS84: π a / 180).
  expect(groundKm({ latDeg: 0, lonDeg: 179.99 }, { latDeg: 0, lonDeg: -179.99 })).toBeCloseTo(2.2264, 3);
  // Across the pole from 89.99° to 89.99°: 0.02° of the meridian there, 0.02 × 111.694 km.
  expect(groundKm({ latDeg: 89.99, lonDeg: 0 }, { latDeg: 89.99, lonDeg: 180 })).toBeCloseTo(2.2339, 3);
});
