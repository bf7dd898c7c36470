/**
 * Our elements against all published ones (Five Millennium Canon, NASA/TP-2006-214141): the same
 * places, the same ΔT and k, contact by contact. The canon's own theories (VSOP87 and ELP2000-85
 * as printed to six decimals) are up to 60 m from DE431, so a tenth of a second is its limit.
 */
import { describe, expect, it } from "vitest";
import { circumstances } from "../../../shared/eclipse/circumstances.ts";
import type { Circumstances, ContactName } from "../../../shared/eclipse/circumstances-types.ts";
import { polynomial } from "../../../shared/eclipse/elements.ts";
import { EarthDisc } from "../../../shared/eclipse/shadow-on-earth.ts";
import { eclipseById, eclipseSummary } from "../../../shared/eclipse/table.ts";
import { canonElements, publishedElements } from "./published.ts";

const CONTACTS: ContactName[] = ["c1", "c2", "max", "c3", "c4"];

/** Places under and beside the shadow at nine moments: centre, and up to 40° either side. */
function placesFor(date: string): { latDeg: number; lonDeg: number; heightM: number }[] {
  const e = eclipseById(date);
  if (!e) throw new Error(`no elements for ${date}`);
  const places = [];
  for (const t of [-1.2, -0.8, -0.4, 0, 0.4, 0.8, 1.2]) {
    const disc = new EarthDisc(e, t, e.deltaTS);
    const [x, y] = [polynomial(e.x, t), polynomial(e.y, t)];
    for (const [dx, dy] of [
      [0, 0],
      [0.2, 0.25],
      [-0.2, -0.25],
    ] as const) {
      const ground = disc.under(x + dx, y + dy);
      if (ground) places.push({ ...ground, heightM: 500 });
    }
  }
  return places;
}

describe("published elements", () => {
  const all: number[] = [];
  it.each(publishedElements.map((e) => [e.date, e] as const))(
    "%s gives the same contacts",
    (date, published) => {
      const ours = eclipseById(date);
      if (!ours) throw new Error(`no elements for ${date}`);
      const canon = canonElements(published);
      // Greatest eclipse: printed to 1e-6 day.
      expect(Math.abs(ours.greatestTtMs - canon.greatestTtMs)).toBeLessThan(700);
      const deltaTS = published.deltaT_s;
      for (const place of placesFor(date)) {
        const [a, b] = [circumstances(ours, place, { deltaTS }), circumstances(canon, place, { deltaTS })];
        for (const s of differences(a, b)) {
          all.push(s);
          expect(Math.abs(s)).toBeLessThan(0.15);
        }
      }
    },
  );

  it("together they differ by less than 0.04 s rms", () => {
    expect(all.length).toBeGreaterThan(2000);
    const rms = Math.sqrt(all.reduce((sum, s) => sum + s * s, 0) / all.length);
    expect(rms).toBeLessThan(0.04);
  });

  it.each(publishedElements.map((e) => [e.date, e] as const))("%s has the same kind", (date, published) => {
    // Partial when the axis misses; else the umbra's sign on the ground and at the Earth's edge.
    const kind = eclipseSummary(date)?.kind;
    const t = (canonElements(published).greatestTtMs - canonElements(published).t0TtMs) / 3_600_000;
    const gamma = Math.hypot(polynomial(published.x, t), polynomial(published.y, t));
    const atEdge = polynomial(published.l2, t);
    const onGround = atEdge - Math.sqrt(Math.max(0, 1 - gamma * gamma)) * published.tanf2;
    if (gamma > 0.9972 + Math.abs(atEdge)) expect(kind).toBe("partial");
    else if (onGround > 0) expect(kind).toBe("annular");
    else expect(kind).toBe(atEdge > 0 ? "hybrid" : "total");
  });
});

function differences(a: Circumstances, b: Circumstances): number[] {
  return CONTACTS.flatMap((name) => {
    const [p, q] = [a.contacts[name], b.contacts[name]];
    return p && q ? [(p.utcMs - q.utcMs) / 1000] : [];
  });
}
