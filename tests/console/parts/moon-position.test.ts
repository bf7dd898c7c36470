/**
 * The drawing's Moon against an ephemeris of others: astronomy-engine 2.1.19 (topocentric places
 * of Sun and Moon, its own theory), at sites of all kinds. Tolerance as the model promises: 0.03
 * solar radii (0.5′, a stroke's width on the board); 0.08 where a nearly central Moon may be drawn
 * on the wrong side of the Sun's centre (twice its nearest distance).
 */
import { Body, Equator, Horizon, MakeTime, Observer } from "astronomy-engine";
import { describe, expect, it } from "vitest";
import { coveredWidth, moonPosition, parallacticAngleDeg } from "../../../console/parts/moon-position.ts";
import { circumstances } from "../../../shared/eclipse/circumstances.ts";
import type { Place } from "../../../shared/eclipse/circumstances-types.ts";
import { sunAt } from "../../../shared/eclipse/sun.ts";
import { eclipseById } from "../../../shared/eclipse/table.ts";
import { utcMs } from "../../../shared/time/instants.ts";

const RAD = Math.PI / 180;

const sites: [string, string, Place][] = [
  ["total in the morning, north of the tropics", "2027-08-02", { latDeg: 34.4, lonDeg: 8.6, heightM: 300 }],
  ["total near the zenith", "2027-08-02", { latDeg: 25.5, lonDeg: 33, heightM: 80 }],
  ["partial", "2027-08-02", { latDeg: 43.4, lonDeg: 7, heightM: 10 }],
  ["partial, Moon to the south", "2027-08-02", { latDeg: 20, lonDeg: 20, heightM: 500 }],
  ["annular on the equator", "2028-01-26", { latDeg: 3, lonDeg: -51.5, heightM: 50 }],
  ["total in the southern hemisphere", "2028-07-22", { latDeg: -33.9, lonDeg: 151.2, heightM: 20 }],
];

describe.each(sites)("the Moon before the Sun, %s", (_title, id, place) => {
  const elements = eclipseById(id);
  if (!elements) throw new Error(`no elements for ${id}`);
  const seen = circumstances(elements, place);
  const at = (name: "c1" | "c2" | "max" | "c3" | "c4") => seen.contacts[name]?.utcMs ?? null;
  const shape = {
    contacts: { c1: at("c1"), c2: at("c2"), max: at("max"), c3: at("c3"), c4: at("c4") },
    positionAngles: {
      c1: seen.contacts.c1?.positionAngleDeg ?? null,
      c4: seen.contacts.c4?.positionAngleDeg ?? null,
    },
    magnitude: seen.magnitude,
    ratio: seen.ratio,
  };
  const c1 = shape.contacts.c1!;
  const c4 = shape.contacts.c4!;
  const instants = Array.from({ length: 21 }, (_, i) => c1 + 1 + ((c4 - c1 - 2) * i) / 20);

  it("stands as near to where the ephemeris has it as the model promises", () => {
    const observer = new Observer(place.latDeg, place.lonDeg, place.heightM);
    let worst = 0;
    for (const instant of instants) {
      const moon = moonPosition(shape, instant)!;
      const time = MakeTime(new Date(instant));
      const sunOf = Equator(Body.Sun, time, observer, true, true);
      const moonOf = Equator(Body.Moon, time, observer, true, true);
      // Sun's radius: 959.63″ at 1 au (IAU 1976).
      const radiusDeg = Math.asin(Math.sin((959.63 / 3600) * RAD) / sunOf.dist) / RAD;
      const east = ((moonOf.ra - sunOf.ra) * 15 * Math.cos(sunOf.dec * RAD)) / radiusDeg;
      const north = (moonOf.dec - sunOf.dec) / radiusDeg;
      const off = Math.hypot(
        moon.separation * Math.sin(moon.positionAngleDeg * RAD) - east,
        moon.separation * Math.cos(moon.positionAngleDeg * RAD) - north,
      );
      worst = Math.max(worst, off);
    }
    const nearest = 1 + shape.ratio - 2 * shape.magnitude;
    const sideUnsure = nearest < Math.abs(shape.ratio - 1);
    expect(worst).toBeLessThan(sideUnsure ? 0.08 : 0.03);
  });

  it("is turned to the zenith as altitudes and azimuths of the ephemeris say", () => {
    const observer = new Observer(place.latDeg, place.lonDeg, place.heightM);
    for (const instant of instants) {
      const time = MakeTime(new Date(instant));
      const equator = Equator(Body.Sun, time, observer, true, true);
      const horizon = Horizon(time, observer, equator.ra, equator.dec);
      // Where due north of the Sun lies, by stepping 0.01° towards the pole.
      const north = Horizon(time, observer, equator.ra, equator.dec + 0.01);
      const right =
        (((north.azimuth - horizon.azimuth + 540) % 360) - 180) * Math.cos(horizon.altitude * RAD);
      const up = north.altitude - horizon.altitude;
      const expected = Math.atan2(right, up) / RAD;
      const sun = sunAt(utcMs(instant), place);
      const difference = ((parallacticAngleDeg(sun, place.latDeg) - expected + 540) % 360) - 180;
      // Within 2° of the zenith the angle turns as fast as the azimuth: no drawing can show it.
      if (horizon.altitude < 88) expect(Math.abs(difference)).toBeLessThan(0.6);
    }
  });

  it("touches the Sun's limb at C1 and C4 and covers the magnitude at maximum", () => {
    expect(moonPosition(shape, c1)!.separation).toBeCloseTo(1 + shape.ratio, 6);
    expect(moonPosition(shape, c4)!.separation).toBeCloseTo(1 + shape.ratio, 6);
    const nearest = moonPosition(shape, shape.contacts.max!)!.separation;
    expect((1 + shape.ratio - nearest) / 2).toBeCloseTo(shape.magnitude, 6);
    expect(moonPosition(shape, c1 - 1)).toBeNull();
    expect(moonPosition(shape, c4 + 1)).toBeNull();
  });

  it("hides or rings the Sun exactly between C2 and C3", () => {
    const { c2, c3 } = shape.contacts;
    if (c2 === null || c3 === null) {
      const nearest = moonPosition(shape, shape.contacts.max!)!.separation;
      expect(nearest).toBeGreaterThan(Math.abs(shape.ratio - 1));
      return;
    }
    const edge = Math.abs(shape.ratio - 1);
    expect(moonPosition(shape, c2)!.separation).toBeCloseTo(edge, 6);
    expect(moonPosition(shape, (c2 + c3) / 2)!.separation).toBeLessThan(edge);
    expect(moonPosition(shape, c2 - 1000)!.separation).toBeGreaterThan(edge);
    expect(moonPosition(shape, c3 + 1000)!.separation).toBeGreaterThan(edge);
  });
});

describe("covered width", () => {
  // The definition of magnitude: the fraction of the Sun's diameter that is covered.
  it("is the fraction of the diameter that is covered", () => {
    expect(coveredWidth(2, 1)).toBe(0);
    expect(coveredWidth(1, 1)).toBe(0.5);
    expect(coveredWidth(0.01, 1.05)).toBe(1);
    expect(coveredWidth(0, 0.92)).toBe(0.92);
    expect(coveredWidth(5, 1)).toBe(0);
  });
});
