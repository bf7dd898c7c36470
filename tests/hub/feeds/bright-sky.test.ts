/** Planets and stars of totality, and what the rigs say of the sky. */
import { describe, expect, it } from "vitest";
import { boardSnapshot } from "../../../hub/feeds/board-snapshot.ts";
import { brightSky } from "../../../hub/feeds/bright-sky.ts";
import { GOOD_CLOCK } from "../../../shared/run/doubt.ts";
import { utcMs } from "../../../shared/time/instants.ts";
import { NORTH_SHORE, SiteWorld } from "../../shared/run/site-world.ts";

describe("the bright sky of totality", () => {
  it("has the planets beside the Sun where ephemerides have them", () => {
    const { state } = SiteWorld.planned();
    const sky = brightSky(state.circumstances, state.plan.site);
    // 2 August 2027: Venus has its superior conjunction on 12 August 2027, so it stands within 3° of the
    // Sun's place, which is some 82° high at the site of these tests; magnitude -3.9 (almanacs, from memory).
    const venus = sky.find(({ name }) => name === "venus");
    expect(venus?.altitudeDeg).toBeGreaterThan(75);
    expect(venus?.magnitude).toBeCloseTo(-3.9, 0);
    expect(sky[0]).toBe(venus);
    for (const { altitudeDeg, magnitude } of sky) {
      expect(altitudeDeg).toBeGreaterThanOrEqual(5);
      expect(magnitude).toBeLessThanOrEqual(1.5);
    }
    expect(brightSky(state.circumstances, state.plan.site)).toBe(sky);
  });

  it("puts a star where its hour angle and latitude do", () => {
    const { state } = SiteWorld.planned();
    const site = state.plan.site;
    const max = state.circumstances?.contacts.max;
    if (!site || !max) throw new Error("the world of these tests has a site in the path");
    // Sidereal time by Meeus, Astronomical Algorithms, 12.4; altitude by 13.6 (refraction left out: 0.1°).
    const days = (max.utcMs - Date.UTC(2000, 0, 1, 12)) / 86_400_000;
    const siderealDeg = 280.46061837 + 360.98564736629 * days + site.lonDeg;
    const rad = Math.PI / 180;
    const altitude = (raHours: number, decDeg: number) => {
      const hour = (siderealDeg - raHours * 15) * rad;
      const [lat, dec] = [site.latDeg * rad, decDeg * rad];
      return Math.asin(Math.sin(lat) * Math.sin(dec) + Math.cos(lat) * Math.cos(dec) * Math.cos(hour)) / rad;
    };
    const stars: Record<string, [number, number]> = {
      sirius: [6.7525, -16.7161],
      canopus: [6.3992, -52.6957],
      capella: [5.2782, 45.998],
      arcturus: [14.261, 19.1825],
      rigel: [5.2423, -8.2016],
    };
    const named = brightSky(state.circumstances, site).filter(({ name }) => name in stars);
    expect(named.length).toBeGreaterThan(0);
    // J2000 places: precession of 27 years is 0.4°, rounding half a degree.
    for (const { name, altitudeDeg } of named)
      expect(Math.abs(altitudeDeg - altitude(...(stars[name] ?? [0, 0])))).toBeLessThan(1.2);
  });

  it("is empty where there is no totality", () => {
    const { state } = SiteWorld.planned({ site: NORTH_SHORE });
    expect(brightSky(state.circumstances, state.plan.site)).toEqual([]);
  });
});

describe("the sky as it was seen", () => {
  it("is what most rigs said lately, the worse one where as many say another", () => {
    const world = SiteWorld.planned();
    const [first, second] = world.state.plan.rigs.map(({ id }) => id);
    const { c2 } = world.predicted;
    const seen = (now: number) => boardSnapshot(world.state, utcMs(now), GOOD_CLOCK).skySeen;
    expect(seen(c2)).toBeNull();
    world.report(first ?? "", { sky: "clear" }, { at: c2 });
    expect(seen(c2 + 1000)).toBe("clear");
    if (second) {
      world.report(second, { sky: "thin" }, { at: c2 });
      expect(seen(c2 + 1000)).toBe("thin");
    }
    expect(seen(c2 + 3_600_000)).toBeNull();
  });
});
