/** Sizes, drift and pointing against published figures, arithmetic and an independent ephemeris. */
import * as A from "astronomy-engine";
import { describe, expect, test } from "vitest";
import { inFrameFor, placeNow, projectMm, seenSun } from "../../../shared/budget/fixed-pointing.ts";
import { northInFrameDeg, parallacticDeg } from "../../../shared/budget/frame-turn.ts";
import {
  discMm,
  driftMmPerS,
  fieldDeg,
  longestFocalMm,
  longestSharpS,
  pixelMm,
  radiiThatFit,
} from "../../../shared/budget/framing.ts";
import { utcMs } from "../../../shared/time/instants.ts";
import { isoUtc } from "../../../shared/time/iso.ts";
import published from "../../fixtures/budget/published-exposure.json" with { type: "json" };

const FULL = { widthMm: 36, heightMm: 24, widthPx: 6000, heightPx: 4000 };
const MEAN_RADIUS = 959.63;

describe("the Sun's image", () => {
  test("is focal length / 109 (NASA RP 1398), to 2 %, as its examples have it", () => {
    const examples = published.geometry[0]?.examples_mm as Record<string, number>;
    for (const [focal, mm] of Object.entries(examples)) {
      expect(discMm(Number(focal), MEAN_RADIUS)).toBeCloseTo(Number(focal) / 109, 0);
      expect(Math.abs(discMm(Number(focal), MEAN_RADIUS) - mm)).toBeLessThan(0.06 + 0.02 * mm);
    }
  });
  test("fills 24 mm at 2,580 mm; RP 1398 says 2600 at most for the whole disc", () => {
    expect(longestFocalMm(FULL, MEAN_RADIUS, 1)).toBeGreaterThan(2500);
    expect(longestFocalMm(FULL, MEAN_RADIUS, 1)).toBeLessThan(2620);
  });
  test("500 mm with a radius of corona on each side covers 9.2 mm (RP 1398)", () => {
    expect(2 * discMm(500, MEAN_RADIUS)).toBeCloseTo(9.3, 1);
    expect(radiiThatFit(500, FULL, MEAN_RADIUS)).toBeCloseTo(24 / 4.65, 1);
  });
  test("a pixel and a field, by hand: 36 mm of 6000 px at 500 mm", () => {
    expect(pixelMm(FULL)).toBeCloseTo(0.006, 9);
    expect(fieldDeg(500, FULL).widthDeg).toBeCloseTo(4.124, 2);
  });
});

describe("drift without tracking", () => {
  test("is 15.04″/s · cos δ", () => {
    const arcsec = (dec: number) => (driftMmPerS(1000, dec, "none") / 1000) * 206_264.806;
    // The Sun itself runs 0.04″/s slower than the stars.
    expect(arcsec(0)).toBeCloseTo(15.04 - 0.04, 2);
    expect(arcsec(60)).toBeCloseTo(7.5, 2);
  });
  test("the Sun moves by its own diameter in about 2.1 minutes", () => {
    expect(discMm(700, MEAN_RADIUS) / driftMmPerS(700, 0, "none") / 60).toBeCloseTo(2.13, 1);
  });
  test("340 / focal length (from memory) is 25 micrometres of drift on the equator", () => {
    for (const focal of [50, 200, 1000])
      expect(longestSharpS(driftMmPerS(focal, 0, "none"), 0.025)).toBeCloseTo(
        340 / focal,
        focal > 300 ? 1 : 0,
      );
  });
  test("a sidereal rate leaves a turn a year, a solar one nothing", () => {
    expect(driftMmPerS(1000, 0, "sidereal") / driftMmPerS(1000, 0, "none")).toBeCloseTo(1 / 365.24, 4);
    expect(longestSharpS(driftMmPerS(1000, 0, "solar"), 0.01)).toBe(Number.POSITIVE_INFINITY);
  });
});

describe("a fixed camera", () => {
  const spot = { latDeg: 25.69, lonDeg: 32.64, heightM: 80 };
  const at = utcMs(Date.UTC(2027, 7, 2, 10, 5));
  const camera = { focalLengthMm: 200, widthMm: 36, heightMm: 24 };

  test("pointed where the Sun will be, has it in the middle then", () => {
    const { pointing, now } = placeNow(camera, spot, utcMs(at - 3_600_000), at);
    const then = projectMm(seenSun(at, spot), pointing, 200);
    expect(Math.hypot(then?.xMm ?? 9, then?.yMm ?? 9)).toBeLessThan(1e-6);
    expect(Math.hypot(now?.xMm ?? 0, now?.yMm ?? 0)).toBeGreaterThan(20);
  });

  test("keeps it as long as the drift takes over the frame", () => {
    const pointing = seenSun(at, spot);
    const radius = discMm(200, MEAN_RADIUS) / 2;
    const held = inFrameFor(camera, pointing, spot, at, radius);
    const s = ((held?.untilUtcMs ?? 0) - at) / 1000;
    // Straight over a side of 12 to 18 mm from the middle: between the two ways out, and never faster.
    const drift = driftMmPerS(200, 17.7, "none");
    expect(s).toBeGreaterThan((12 - radius) / drift - 30);
    expect(s).toBeLessThan(Math.hypot(18, 12) / drift);
    expect(
      inFrameFor(camera, { ...pointing, azimuthDeg: pointing.azimuthDeg + 40 }, spot, at, radius),
    ).toBeNull();
  });

  test("the path over the frame is that of an independent ephemeris (astronomy-engine), to 0.02°", () => {
    const observer = new A.Observer(spot.latDeg, spot.lonDeg, spot.heightM);
    const pointing = seenSun(at, spot);
    for (const minutes of [-30, -10, 5, 25]) {
      const ms = utcMs(at + minutes * 60_000);
      const date = new Date(isoUtc(ms));
      const equ = A.Equator(A.Body.Sun, date, observer, true, true);
      const hor = A.Horizon(date, observer, equ.ra, equ.dec, "normal");
      const theirs = projectMm({ azimuthDeg: hor.azimuth, altitudeDeg: hor.altitude }, pointing, 200);
      const ours = projectMm(seenSun(ms, spot), pointing, 200);
      const mm = Math.hypot((ours?.xMm ?? 9) - (theirs?.xMm ?? 0), (ours?.yMm ?? 9) - (theirs?.yMm ?? 0));
      // 0.03° at 200 mm.
      expect(mm).toBeLessThan(0.1);
    }
  });
});

describe("how the frame stands", () => {
  test("the zenith's position angle is that of an independent ephemeris (astronomy-engine), to 0.3°", () => {
    const observer = new A.Observer(-23.5, 145, 100);
    const date = new Date("2028-07-22T03:00:00Z");
    const equ = A.Equator(A.Body.Sun, date, observer, true, true);
    const hor = A.Horizon(date, observer, equ.ra, equ.dec, "");
    // A point a tenth of a degree above the Sun, back to right ascension and declination.
    const up = A.SphereFromVector(
      A.RotateVector(
        A.CombineRotation(A.Rotation_HOR_EQD(date, observer), A.IdentityMatrix()),
        A.VectorFromHorizon(new A.Spherical(hor.altitude + 0.1, hor.azimuth, 1), date, ""),
      ),
    );
    const east = (up.lon - equ.ra * 15) * Math.cos((equ.dec * Math.PI) / 180);
    const theirs = (Math.atan2(east, up.lat - equ.dec) * 180) / Math.PI;
    const ours = parallacticDeg(-23.5, hor.altitude, hor.azimuth);
    const apart = ((ours - theirs + 540) % 360) - 180;
    expect(Math.abs(apart)).toBeLessThan(0.3);
  });
  test("a setting Sun in the north leans the sky's north to the right on a level tripod", () => {
    const q = parallacticDeg(45, 20, 270);
    expect(q).toBeGreaterThan(0);
    expect(northInFrameDeg("tripod", q)).toBe(-q);
    expect(northInFrameDeg("equatorial", q)).toBe(0);
  });
});
