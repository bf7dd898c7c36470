/** Planets and stars of totality, and what the rigs say of the sky. */
import series from "astronomia/data";
import { position } from "astronomia/elliptic";
import { Planet } from "astronomia/planetposition";
import { describe, expect, it } from "vitest";
import { boardSnapshot } from "../../../hub/feeds/board-snapshot.ts";
import { brightSky } from "../../../hub/feeds/bright-sky.ts";
import { SkyBook } from "../../../hub/feeds/sky-seen.ts";
import { MemoryLog } from "../../../hub/log/memory-log.ts";
import { circumstances } from "../../../shared/eclipse/circumstances.ts";
import { eclipseById } from "../../../shared/eclipse/table.ts";
import { GOOD_CLOCK } from "../../../shared/run/doubt.ts";
import { utcMs } from "../../../shared/time/instants.ts";
import { NORTH_SHORE, SiteWorld } from "../../shared/run/site-world.ts";

const RAD = Math.PI / 180;

/** Sidereal time by Meeus, Astronomical Algorithms, 12.4; altitude and azimuth by 13.5 and 13.6, refraction left out. */
function inSky(utc: number, { latDeg, lonDeg }: { latDeg: number; lonDeg: number }, ra: number, dec: number) {
  const days = (utc - Date.UTC(2000, 0, 1, 12)) / 86_400_000;
  const hour = (280.46061837 + 360.98564736629 * days + lonDeg) * RAD - ra;
  const lat = latDeg * RAD;
  const altitude = Math.asin(Math.sin(lat) * Math.sin(dec) + Math.cos(lat) * Math.cos(dec) * Math.cos(hour));
  const south = Math.atan2(Math.sin(hour), Math.cos(hour) * Math.sin(lat) - Math.tan(dec) * Math.cos(lat));
  return { altitudeDeg: altitude / RAD, azimuthDeg: (south / RAD + 180) % 360 };
}

const totality = (id: string, site: { latDeg: number; lonDeg: number; heightM: number }) => {
  const elements = eclipseById(id);
  if (!elements) throw new Error(`no elements for ${id}`);
  const gets = circumstances(elements, site);
  return { gets, maxUtcMs: gets.contacts.max?.utcMs ?? Number.NaN };
};

describe("the bright sky of totality", () => {
  // Places by VSOP87B (Bretagnon & Francou 1988) through `astronomia`, of which nothing is in astronomy-engine.
  it.each([
    ["2012-11-13", -16.9, 145.8],
    ["2017-08-21", 44.6, -121],
    ["2019-07-02", -30.2, -70.8],
    ["2024-04-08", 32.8, -96.8],
    ["2026-08-12", 42.3, -3.7],
    ["2027-08-02", 25.69, 32.64],
    ["2028-07-22", -33.9, 151.2],
    ["2035-09-02", 36.2, 139],
  ] as const)(
    "names the planets of %s at %s, %s where another theory has them, and none that is down",
    (id, latDeg, lonDeg) => {
      const site = { latDeg, lonDeg, heightM: 100 };
      const { gets, maxUtcMs } = totality(id, site);
      const sky = brightSky(gets, site);
      const jde = maxUtcMs / 86_400_000 + 2_440_587.5 + 69.2 / 86_400;
      const earth = new Planet(series.vsop87Bearth);
      for (const name of ["mercury", "venus", "mars", "jupiter", "saturn"] as const) {
        const { ra, dec } = position(new Planet(series[`vsop87B${name}`]), earth, jde);
        const there = inSky(maxUtcMs, site, ra, dec);
        const named = sky.find((body) => body.name === name);
        if (!named) {
          // These two are never fainter than -1.6 (common practice, no source).
          if (name === "venus" || name === "jupiter") expect(there.altitudeDeg, name).toBeLessThan(5);
          continue;
        }
        // Rounded to a degree; refraction at 5° is 0.16°.
        expect(Math.abs(named.altitudeDeg - there.altitudeDeg), name).toBeLessThan(0.7);
        const turn = Math.abs(((named.azimuthDeg - there.azimuthDeg + 540) % 360) - 180);
        expect(turn * Math.cos(there.altitudeDeg * RAD), name).toBeLessThan(0.7);
      }
    },
  );

  // Espenak and Anderson, Total Solar Eclipse of 2017 August 21 (NASA): Venus 34° west of the Sun, from memory.
  it("tells how far from the Sun a planet stands", () => {
    const site = { latDeg: 44.6, lonDeg: -121, heightM: 100 };
    const sky = brightSky(totality("2017-08-21", site).gets, site);
    expect(sky.find(({ name }) => name === "venus")?.sunDeg).toBe(34);
  });

  it("names the brightest stars of the southern sky, too", () => {
    const site = { latDeg: -30.2, lonDeg: -70.8, heightM: 1000 };
    const { gets, maxUtcMs } = totality("2019-07-02", site);
    const star = brightSky(gets, site).find(({ name }) => name === "alphaCentauri");
    // J2000: 14h 39m 36s, -60° 50′ (any star atlas); precession of 19 years is 0.2° there.
    const there = inSky(maxUtcMs, site, 219.9 * RAD, -60.83 * RAD);
    expect(there.altitudeDeg).toBeGreaterThan(10);
    expect(Math.abs((star?.altitudeDeg ?? Number.NaN) - there.altitudeDeg)).toBeLessThan(1.2);
  });

  it("names nothing that stands behind the site's hills", () => {
    const site = { latDeg: 25.69, lonDeg: 32.64, heightM: 80, skyline: [] as [number, number][] };
    const { gets } = totality("2027-08-02", site);
    expect(brightSky(gets, site).map(({ name }) => name)).toContain("arcturus");
    // Arcturus stands 17° high in the east, Sirius 37° in the south-west.
    const valley = {
      ...site,
      skyline: [
        [0, 3],
        [60, 25],
        [100, 25],
        [140, 3],
      ] as [number, number][],
    };
    const named = brightSky(gets, valley).map(({ name }) => name);
    expect(named).not.toContain("arcturus");
    expect(named).toEqual(expect.arrayContaining(["venus", "jupiter", "sirius"]));
  });

  it("is empty where totality stands below the horizon (S2)", () => {
    // South of Spain's coast the Sun of 12 August 2026 has set before C2.
    const site = { latDeg: 39.5, lonDeg: 4.2, heightM: 0 };
    const { gets } = totality("2026-08-12", site);
    const sunk = {
      ...gets,
      contacts: { ...gets.contacts, c3: gets.contacts.c3 && { ...gets.contacts.c3, aboveHorizon: false } },
    };
    expect(sunk.kind).toBe("total");
    expect(brightSky(sunk, site)).toEqual([]);
  });

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
    const altitude = (raHours: number, decDeg: number) =>
      inSky(max.utcMs, site, raHours * 15 * RAD, decDeg * RAD).altitudeDeg;
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
  });

  it("stays as it was when the Sun came back, whatever the phones say later, over a restart, too", () => {
    const world = SiteWorld.planned();
    const [first = ""] = world.state.plan.rigs.map(({ id }) => id);
    const { c2, c3 } = world.predicted;
    const log = new MemoryLog();
    const seen = (skies: SkyBook, now: number) =>
      boardSnapshot(world.state, utcMs(now), GOOD_CLOCK, skies).skySeen;
    const before = new SkyBook(log);
    world.report(first, { sky: "clear" }, { at: c2 });
    expect(seen(before, c2 + 1000)).toBe("clear");
    world.report(first, { sky: "overcast" }, { at: c3 + 600_000 });
    expect(seen(before, c3 + 601_000)).toBe("clear");
    const after = new SkyBook(log);
    expect(seen(after, c3 + 7_200_000)).toBe("clear");
  });

  it("is not known where the last word was half an hour old when the Sun came back", () => {
    const world = SiteWorld.planned();
    const [first = ""] = world.state.plan.rigs.map(({ id }) => id);
    const { c3 } = world.predicted;
    world.report(first, { sky: "clear" }, { at: c3 - 31 * 60_000 });
    const skies = new SkyBook(new MemoryLog());
    for (const now of [c3 - 1000, c3 + 60_000])
      expect(boardSnapshot(world.state, utcMs(now), GOOD_CLOCK, skies).skySeen).toBeNull();
  });
});
