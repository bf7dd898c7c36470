/** What the place leaves open of the length, against the whole solver at many displaced places. */
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { PathGeometry } from "../../../shared/eclipse/central-path.ts";
import { circumstances } from "../../../shared/eclipse/circumstances.ts";
import type { Place } from "../../../shared/eclipse/circumstances-types.ts";
import { groundKm } from "../../../shared/eclipse/ground-distance.ts";
import { eclipseById, eclipsesBetween } from "../../../shared/eclipse/table.ts";
import { utcMs } from "../../../shared/time/instants.ts";

const RAD = Math.PI / 180;
const elementsOf = (id: string) => {
  const elements = eclipseById(id);
  if (!elements) throw new Error(`no elements for ${id}`);
  return elements;
};

/** A place so many km away on a sphere of 6371 km, by rotating vectors: none of the solver's own ways. */
function away(from: Place, bearingDeg: number, km: number): Place {
  const [lat, lon, b, arc] = [from.latDeg * RAD, from.lonDeg * RAD, bearingDeg * RAD, km / 6371];
  const up = [Math.cos(lat) * Math.cos(lon), Math.cos(lat) * Math.sin(lon), Math.sin(lat)] as const;
  const east = [-Math.sin(lon), Math.cos(lon), 0] as const;
  const north = [-Math.sin(lat) * Math.cos(lon), -Math.sin(lat) * Math.sin(lon), Math.cos(lat)] as const;
  const [x, y, z] = [0, 1, 2].map(
    (i) =>
      Math.cos(arc) * (up[i] as number) +
      Math.sin(arc) * (Math.cos(b) * (north[i] as number) + Math.sin(b) * (east[i] as number)),
  ) as [number, number, number];
  return { latDeg: Math.asin(z) / RAD, lonDeg: Math.atan2(y, x) / RAD, heightM: from.heightM };
}

/** The most that is lost at any of many places as far away as the bound, and half as far. */
function lossByLooking(id: string, place: Place, placeBoundM: number, heightBoundM: number): number {
  const here = circumstances(elementsOf(id), place);
  let least = here.durationS;
  const look = (there: Place) => {
    const found = circumstances(elementsOf(id), there);
    least = Math.min(least, found.kind === here.kind ? found.durationS : 0);
  };
  for (let bearing = 0; bearing < 360; bearing += 5)
    for (const part of [0.5, 1]) look(away(place, bearing, (part * placeBoundM) / 1000));
  for (const up of [-1, 1]) look({ ...place, heightM: place.heightM + up * heightBoundM });
  return here.durationS - least;
}

const central = eclipsesBetween(utcMs(0), utcMs(4.2e12)).filter((e) => e.durationS > 0);
/** Places in the path, from its line to its edge; the nearer the edge, the more of them. */
const inPath = fc
  .record({
    id: fc.constantFrom(...central.map((e) => e.id)),
    along: fc.double({ min: 0.05, max: 0.95, noNaN: true }),
    way: fc.double({ min: 0, max: 1, noNaN: true }).map((x) => x * x),
    side: fc.constantFrom(1 as const, -1 as const),
    heightM: fc.integer({ min: 0, max: 3000 }),
  })
  .map(({ id, along, way, side, heightM }) => {
    const geometry = new PathGeometry(elementsOf(id));
    const hours = geometry.axisHours();
    if (!hours) return null;
    const t = hours.from + along * (hours.to - hours.from);
    const [edge, line] = [geometry.limitAt(t, side), geometry.axisGround(t)];
    // Across the date line or a pole a mean of coordinates is no place between.
    if (!edge || !line || groundKm(edge, line) > 300 || Math.abs(edge.lonDeg - line.lonDeg) > 20) return null;
    const between = (a: number, b: number) => a + way * (b - a);
    return {
      id,
      place: {
        latDeg: between(edge.latDeg, line.latDeg),
        lonDeg: between(edge.lonDeg, line.lonDeg),
        heightM,
      },
    };
  })
  .filter((found) => found !== null);

describe("the length's bound", () => {
  it("is what is lost at the worst place within the coordinates' bound, up to 100 km", () => {
    let whole = 0;
    fc.assert(
      fc.property(
        inPath,
        fc.constantFrom(30, 300, 2000, 10_000, 30_000, 100_000),
        ({ id, place }, placeBoundM) => {
          const c = circumstances(elementsOf(id), place, { placeBoundM, heightBoundM: 0 });
          const looked = lossByLooking(id, place, placeBoundM, 0);
          if (c.lengthBoundS === c.durationS && c.durationS > 0) whole++;
          // Eight directions of 360, the first straight across the path; the ellipsoid is no sphere (0.4 %).
          expect(c.lengthBoundS).toBeGreaterThan(0.98 * looked - 0.1);
          // At the very edge of what the place leaves open, whole or a moment.
          expect(c.lengthBoundS).toBeLessThan(1.05 * looked + 2 + 0.0005 * placeBoundM);
          expect(c.lengthBoundS).toBeLessThanOrEqual(c.durationS);
        },
      ),
      { numRuns: 150, seed: 20010621 },
    );
    expect(whole).toBeGreaterThan(20);
  });

  it("is the whole length where the site may lie outside the path", () => {
    // 2027-08-02 at 24.44° N 32.64° E: the southern edge is 3 km off, by the solver's own path.
    const place = { latDeg: 24.44, lonDeg: 32.64, heightM: 0 };
    const at = (placeBoundM: number) => circumstances(elementsOf("2027-08-02"), place, { placeBoundM });
    expect(at(15_000).durationS).toBeGreaterThan(40);
    expect(at(15_000).lengthBoundS).toBe(at(15_000).durationS);
    const known = at(30).lengthBoundS;
    expect(known).toBeGreaterThan(0);
    expect(known).toBeLessThan(1);
    expect(at(1000).lengthBoundS).toBeGreaterThan(10 * known);
  });

  it("is the whole length where a neighbour's eclipse is of another kind", () => {
    // 2031-11-14 is hybrid: along its line the totality shrinks to nothing and becomes a ring.
    const geometry = new PathGeometry(elementsOf("2031-11-14"));
    const hours = geometry.axisHours();
    if (!hours) throw new Error("no path");
    let seen = 0;
    for (let f = 0.02; f < 0.5; f += 0.005) {
      const ground = geometry.axisGround(hours.from + f * (hours.to - hours.from));
      if (!ground) continue;
      const c = circumstances(elementsOf("2031-11-14"), { ...ground, heightM: 0 }, { placeBoundM: 100_000 });
      if (c.kind !== "total" || c.durationS > 5) continue;
      seen++;
      expect(c.lengthBoundS).toBe(c.durationS);
    }
    expect(seen).toBeGreaterThan(0);
  });

  it("counts the height: with a low Sun it moves the path", () => {
    // 2026-08-12 at sunset in eastern Spain, near the southern edge; the Sun stands some 4° high.
    const place = { latDeg: 39.3, lonDeg: -0.45, heightM: 500 };
    const e = elementsOf("2026-08-12");
    const at = (heightBoundM: number) => circumstances(e, place, { placeBoundM: 0, heightBoundM });
    expect(at(0).kind).toBe("total");
    expect(at(0).lengthBoundS).toBe(0);
    expect(at(500).lengthBoundS).toBeCloseTo(lossByLooking("2026-08-12", place, 0, 500), 3);
    expect(at(500).lengthBoundS).toBeGreaterThan(at(50).lengthBoundS);
    // Place and height together leave more open than either.
    const both = circumstances(e, place, { placeBoundM: 2000, heightBoundM: 500 }).lengthBoundS;
    const alone = circumstances(e, place, { placeBoundM: 2000, heightBoundM: 0 }).lengthBoundS;
    expect(both).toBeGreaterThan(alone);
  });

  it("is nothing where there is no central phase, nor does it crash at a pole or the date line", () => {
    const at = (id: string, latDeg: number, lonDeg: number) =>
      circumstances(elementsOf(id), { latDeg, lonDeg, heightM: 0 }, { placeBoundM: 100_000 });
    expect(at("2027-08-02", 48, 11)).toMatchObject({ kind: "partial", lengthBoundS: 0 });
    expect(at("2027-08-02", -60, -120)).toMatchObject({ kind: "none", lengthBoundS: 0 });
    // 2015-03-20 was total at the North Pole (widely reported; from memory).
    const pole = at("2015-03-20", 90, 0);
    expect(pole.kind).toBe("total");
    expect(pole.lengthBoundS).toBeGreaterThan(0);
    expect(pole.lengthBoundS).toBeLessThanOrEqual(pole.durationS);
    expect(at("2015-03-20", 90, 123).lengthBoundS).toBeCloseTo(pole.lengthBoundS, 2);
  });
});
