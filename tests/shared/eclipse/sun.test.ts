/** The low-precision Sun against astronomy-engine, and refraction against the usual values. */
import * as Astronomy from "astronomy-engine";
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { dipDeg, refractionDeg, sunAt } from "../../../shared/eclipse/sun.ts";
import { utcMs } from "../../../shared/time/instants.ts";

describe("Sun at any time", () => {
  it("stands within 0.015° of astronomy-engine's, 1990–2100", () => {
    // Source: astronomy-engine 2.1.19 (1′ or better). UTC against its UT1-like time: 0.004°.
    fc.assert(
      fc.property(
        fc.integer({ min: Date.UTC(1990, 0, 1), max: Date.UTC(2100, 0, 1) }),
        fc.double({ min: -89.9, max: 89.9, noNaN: true }),
        fc.double({ min: -180, max: 180, noNaN: true }),
        (at, latDeg, lonDeg) => {
          const date = new Date(at);
          const observer = new Astronomy.Observer(latDeg, lonDeg, 0);
          const equator = Astronomy.Equator(Astronomy.Body.Sun, date, observer, true, true);
          const theirs = Astronomy.Horizon(date, observer, equator.ra, equator.dec);
          const ours = sunAt(utcMs(at), { latDeg, lonDeg });
          expect(Math.abs(ours.altitudeDeg - theirs.altitude)).toBeLessThan(0.015);
          const around = Math.abs(((ours.azimuthDeg - theirs.azimuth + 540) % 360) - 180);
          expect(around * Math.cos((theirs.altitude * Math.PI) / 180)).toBeLessThan(0.015);
        },
      ),
      { numRuns: 500, seed: 4 },
    );
  });

  it("is up by its upper limb with 34′ of refraction", () => {
    // Source: the usual definition of sunrise, −50′ (e.g. Meeus ch. 15).
    const place = { latDeg: 0, lonDeg: 0 };
    const noon = utcMs(Date.UTC(2027, 2, 20, 12, 7));
    expect(sunAt(noon, place).up).toBe(true);
    expect(sunAt(noon, place).altitudeDeg).toBeGreaterThan(88);
    expect(sunAt(utcMs(Date.UTC(2027, 2, 20, 0, 7)), place).up).toBe(false);
    let t = Date.UTC(2027, 2, 20, 5, 30);
    while (!sunAt(utcMs(t), place).up) t += 1000;
    expect(sunAt(utcMs(t), place).altitudeDeg).toBeCloseTo(-50 / 60, 1);
  });

  it("is up longer from a height, by the dip of the sea horizon", () => {
    // Dip of the nautical almanacs' tables: 1.76′ √h: 17.6′ at 100 m, 1° 51′ at 4000 m (from memory).
    expect(dipDeg(100) * 60).toBeCloseTo(17.6, 6);
    expect(dipDeg(4000) * 60).toBeCloseTo(111.3, 1);
    expect(dipDeg(-400)).toBe(0);
    const place = { latDeg: 0, lonDeg: 0 };
    const rises = (heightM: number) => {
      let t = Date.UTC(2027, 2, 20, 5, 30);
      while (!sunAt(utcMs(t), { ...place, heightM }).up) t += 1000;
      return t;
    };
    // At the equinox on the equator the Sun climbs 15° an hour: 111.3′ take 445 s.
    expect(Math.abs((rises(0) - rises(4000)) / 1000 - 445)).toBeLessThan(5);
  });

  it("refraction is 29′ at the geometric horizon, 34′ at the apparent one, 5′ at 10°", () => {
    // Source: Meeus, Astronomical Algorithms, ch. 16: true altitude 0°: 28.98′; example values.
    expect(Math.abs(refractionDeg(0) * 60 - 28.98)).toBeLessThan(0.1);
    expect(Math.abs(refractionDeg(-34 / 60) * 60 - 34)).toBeLessThan(1);
    expect(Math.abs(refractionDeg(10) * 60 - 5.3)).toBeLessThan(0.2);
    expect(refractionDeg(90)).toBeLessThan(1e-4);
    expect(refractionDeg(-10)).toBe(0);
  });
});
