/** What must hold for any place and eclipse, edge cases, and bad input. */
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { circumstances } from "../../../shared/eclipse/circumstances.ts";
import type { Circumstances, ContactName } from "../../../shared/eclipse/circumstances-types.ts";
import { CANON_SIZES, SUN_OF_ECLIPSES_ARCSEC, withSizes } from "../../../shared/eclipse/elements.ts";
import { coveredArea } from "../../../shared/eclipse/obscuration.ts";
import { sunAt } from "../../../shared/eclipse/sun.ts";
import { eclipseById, eclipsesBetween } from "../../../shared/eclipse/table.ts";
import { utcMs } from "../../../shared/time/instants.ts";

const summaries = eclipsesBetween(utcMs(0), utcMs(4.2e12));
const ids = summaries.map((e) => e.id);
const elementsOf = (id: string) => {
  const elements = eclipseById(id);
  if (!elements) throw new Error(`no elements for ${id}`);
  return elements;
};
const present = <T>(value: T | null | undefined): T => {
  if (value === null || value === undefined) throw new Error("missing");
  return value;
};

const anyEclipse = fc.constantFrom(...ids);
const anyPlace = fc.record({
  latDeg: fc.double({ min: -90, max: 90, noNaN: true }),
  lonDeg: fc.double({ min: -180, max: 180, noNaN: true }),
  heightM: fc.double({ min: -430, max: 9000, noNaN: true }),
});
/** Places biased to where eclipses are: around the greatest point. */
const nearGreatest = fc
  .record({
    id: anyEclipse,
    north: fc.double({ min: -8, max: 8, noNaN: true }),
    east: fc.double({ min: -15, max: 15, noNaN: true }),
  })
  .map(({ id, north, east }) => {
    const summary = present(summaries.find((e) => e.id === id));
    return {
      id,
      place: {
        latDeg: Math.max(-90, Math.min(90, summary.latDeg + north)),
        lonDeg: ((((summary.lonDeg + east + 180) % 360) + 360) % 360) - 180,
        heightM: 100,
      },
    };
  });

const ORDER: ContactName[] = ["c1", "c2", "max", "c3", "c4"];
const RUNS = { numRuns: 300, seed: 20270802 };

function times(c: Circumstances): number[] {
  return ORDER.flatMap((name) => (c.contacts[name] ? [present(c.contacts[name]).utcMs] : []));
}

function expectSound(c: Circumstances) {
  const t = times(c);
  for (let i = 1; i < t.length; i++) expect(present(t[i])).toBeGreaterThan(present(t[i - 1]));
  if (c.kind === "none") {
    expect(t).toEqual([]);
    expect([c.visible, c.magnitude, c.obscuration, c.durationS]).toEqual([false, 0, 0, 0]);
    return;
  }
  const central = c.kind !== "partial";
  expect(c.contacts.c1 && c.contacts.max && c.contacts.c4).not.toBeNull();
  expect(c.contacts.c2 !== null).toBe(central);
  expect(c.contacts.c3 !== null).toBe(central);
  expect(present(c.contacts.c4).utcMs - present(c.contacts.c1).utcMs).toBeLessThan(4.5 * 3_600_000);
  expect(c.durationS).toBeLessThan(1000);
  expect(c.magnitude).toBeGreaterThan(0);
  expect(c.magnitude).toBeLessThan(1.1);
  expect(c.obscuration).toBeGreaterThanOrEqual(0);
  expect(c.obscuration).toBeLessThanOrEqual(1);
  if (c.kind === "total") expect(c.obscuration).toBe(1);
  expect(c.timingBoundS).toBeGreaterThan(0);
  expect(Number.isFinite(c.timingBoundS)).toBe(true);
  for (const name of ORDER) {
    const contact = c.contacts[name];
    if (!contact) continue;
    for (const value of Object.values(contact))
      expect(value === true || value === false || Number.isFinite(value)).toBe(true);
    for (const angle of [contact.azimuthDeg, contact.positionAngleDeg, contact.positionAngleFromZenithDeg]) {
      expect(angle).toBeGreaterThanOrEqual(0);
      expect(angle).toBeLessThan(360);
    }
  }
}

describe("circumstances anywhere", () => {
  it("never crash, and contacts are ordered, at any place for any eclipse", () => {
    fc.assert(
      fc.property(anyEclipse, anyPlace, (id, place) => expectSound(circumstances(elementsOf(id), place))),
      RUNS,
    );
  });

  it("hold near the middle of every kind of eclipse", () => {
    fc.assert(
      fc.property(nearGreatest, ({ id, place }) => expectSound(circumstances(elementsOf(id), place))),
      RUNS,
    );
  });

  it("move smoothly with the place: a hundred metres never shift the outer contacts by 2 s", () => {
    fc.assert(
      fc.property(nearGreatest, ({ id, place }) => {
        const a = circumstances(elementsOf(id), place);
        const b = circumstances(elementsOf(id), {
          ...place,
          latDeg: place.latDeg - Math.sign(place.latDeg) * 0.0009,
        });
        // A grazing eclipse's contacts rush apart as a square root: only deeper ones are held to it.
        if (a.magnitude < 0.02 || b.magnitude < 0.02) return;
        for (const name of ["c1", "max", "c4"] as const)
          expect(Math.abs(present(a.contacts[name]).utcMs - present(b.contacts[name]).utcMs)).toBeLessThan(
            2000,
          );
        expect(Math.abs(a.obscuration - b.obscuration)).toBeLessThan(0.002);
        expect(Math.abs(a.magnitude - b.magnitude)).toBeLessThan(0.001);
      }),
      RUNS,
    );
  });

  it("covered area is continuous through every touch and grows as the discs near", () => {
    fc.assert(
      fc.property(
        fc.double({ min: 0.9, max: 1.1, noNaN: true }),
        fc.double({ min: 0, max: 2.2, noNaN: true }),
        (ratio, separation) => {
          const here = coveredArea(ratio, separation);
          const nearer = coveredArea(ratio, Math.max(0, separation - 1e-6));
          expect(nearer).toBeGreaterThanOrEqual(here - 1e-9);
          expect(nearer - here).toBeLessThan(5e-6);
        },
      ),
      RUNS,
    );
  });

  it("the same place written on either side of the date line gives the same times", () => {
    const e = elementsOf("2009-07-22");
    const [west, east] = [-180, 180].map((lonDeg) => circumstances(e, { latDeg: 5, lonDeg, heightM: 0 }));
    expect(times(present(west))).toEqual(times(present(east)));
    const beside = circumstances(e, { latDeg: 5, lonDeg: 179.9999, heightM: 0 });
    expect(Math.abs(present(times(beside)[0]) - present(times(present(west))[0]))).toBeLessThan(50);
  });

  it("a pole has one set of times whatever its longitude", () => {
    for (const [id, latDeg] of [
      ["2021-12-04", -90],
      ["2015-03-20", 90],
    ] as const) {
      const [a, b] = [0, 123].map((lonDeg) =>
        circumstances(elementsOf(id), { latDeg, lonDeg, heightM: 2800 }),
      );
      const [ta, tb] = [times(present(a)), times(present(b))];
      expect(ta.length).toBeGreaterThanOrEqual(3);
      ta.forEach((t, i) => {
        expect(Math.abs(t - present(tb[i]))).toBeLessThan(0.2);
      });
    }
    // 2015-03-20 was total at the North Pole (widely reported; from memory).
    expect(circumstances(elementsOf("2015-03-20"), { latDeg: 90, lonDeg: 0, heightM: 0 }).kind).toBe("total");
  });

  it("a total eclipse under the horizon keeps its kind and is not visible", () => {
    // The shadow's cone runs on through the Earth: the antipode of a central place.
    const c = circumstances(elementsOf("2024-04-08"), { latDeg: -25.3, lonDeg: 75.9, heightM: 0 });
    expect(c.visible).toBe(false);
    expect(c.kind === "none" || c.contacts.max?.aboveHorizon === false).toBe(true);
  });

  it("visibility, sunrise and sunset agree with the Sun's low-precision place", () => {
    // Source: Meeus ch. 25 (sun.ts, itself tested against astronomy-engine).
    fc.assert(
      fc.property(anyEclipse, anyPlace, (id, place) => {
        const c = circumstances(elementsOf(id), place);
        if (c.kind === "none") return;
        const [from, to] = [present(c.contacts.c1).utcMs, present(c.contacts.c4).utcMs];
        // Visibility is that of a level horizon, without the dip that a height adds.
        const level = { ...place, heightM: 0 };
        const up = Array.from({ length: 41 }, (_, i) => sunAt(utcMs(from + ((to - from) * i) / 40), level));
        // sunAt takes UTC for UT1; by 2100 they are extrapolated to be 23 s apart, a tenth of a degree.
        const slack = 0.03 + Math.abs(c.deltaTS - 69.184) * 0.0042;
        const clear = up.filter((s) => Math.abs(s.altitudeDeg + 0.8333) > 0.02 + slack);
        if (clear.some((s) => s.up)) expect(c.visible).toBe(true);
        if (clear.length === up.length && !up.some((s) => s.up)) expect(c.visible).toBe(false);
        for (const at of [c.sunriseUtcMs, c.sunsetUtcMs])
          if (at !== null) {
            expect(Math.abs(sunAt(at, place).altitudeDeg + 0.8333)).toBeLessThan(slack);
            expect(at).toBeGreaterThanOrEqual(from);
            expect(at).toBeLessThanOrEqual(to);
          }
      }),
      RUNS,
    );
  });

  it("kinds turn at the path's edge, where the duration goes to nothing", () => {
    // From the central line of 2027-08-02 northward: total, then partial, never annular.
    const e = elementsOf("2027-08-02");
    let last = circumstances(e, { latDeg: 25.5, lonDeg: 33.2, heightM: 0 });
    expect(last.kind).toBe("total");
    for (let latDeg = 25.51; latDeg < 28; latDeg += 0.01) {
      const c = circumstances(e, { latDeg, lonDeg: 33.2, heightM: 0 });
      if (last.kind === "partial") expect(c.kind).toBe("partial");
      else if (c.kind === "partial") expect(last.durationS).toBeLessThan(60);
      last = c;
    }
    expect(last.kind).toBe("partial");
  });

  it("refuses bad input by the field's name", () => {
    const e = elementsOf("2027-08-02");
    const place = { latDeg: 25, lonDeg: 33, heightM: 0 };
    const bad: [string, () => unknown][] = [
      ["latDeg", () => circumstances(e, { ...place, latDeg: 90.1 })],
      ["latDeg", () => circumstances(e, { ...place, latDeg: Number.NaN })],
      ["lonDeg", () => circumstances(e, { ...place, lonDeg: 400 })],
      ["heightM", () => circumstances(e, { ...place, heightM: Number.POSITIVE_INFINITY })],
      ["deltaTS", () => circumstances(e, place, { deltaTS: Number.NaN })],
      ["kPenumbra", () => circumstances(e, place, { kPenumbra: 0.2 })],
      ["kUmbra", () => circumstances(e, place, { kUmbra: 1 })],
      ["solarRadiusArcsec", () => circumstances(e, place, { solarRadiusArcsec: 16 })],
    ];
    for (const [field, run] of bad) expect(run).toThrow(new RegExp(`^${field} must be`));
  });
});

describe("sizes and scales", () => {
  it("ΔT turns the Earth only: the same as moving the place west by 15.041″ of longitude a second", () => {
    const e = elementsOf("2026-08-12");
    const place = { latDeg: 43.36, lonDeg: -5.85, heightM: 200 };
    // Rate of the earth rotation angle: IERS Conventions 2010, (5.15).
    const moved = { ...place, lonDeg: place.lonDeg - (10 * 360 * 1.0027378119113546) / 86_400 };
    const [a, b] = [circumstances(e, place, { deltaTS: 80 }), circumstances(e, moved, { deltaTS: 70 })];
    times(a).forEach((t, i) => {
      expect(Math.abs(t - present(times(b)[i]))).toBeLessThan(0.2);
    });
  });

  it("a larger Moon lengthens totality, a larger Sun shortens it", () => {
    const e = elementsOf("2027-08-02");
    const place = { latDeg: 25.5, lonDeg: 33.2, heightM: 0 };
    const base = circumstances(e, place).durationS;
    expect(circumstances(e, place, { kUmbra: 0.272488 }).durationS).toBeGreaterThan(base + 1);
    const larger = withSizes(e, { ...CANON_SIZES, solarRadiusArcsec: SUN_OF_ECLIPSES_ARCSEC });
    expect(circumstances(larger, place).durationS).toBeLessThan(base - 1);
  });

  it("the Sun asked for is the one seen: contacts keep the canon's", () => {
    const e = elementsOf("2027-08-02");
    const place = { latDeg: 25.5, lonDeg: 33.2, heightM: 0 };
    const canon = circumstances(e, place);
    for (const solarRadiusArcsec of [959.63, 959.95, 965])
      expect(circumstances(e, place, { solarRadiusArcsec })).toEqual(canon);
  });

  it("resizing there and back changes nothing", () => {
    const e = elementsOf("2027-08-02");
    const other = { kPenumbra: 0.2725076, kUmbra: 0.2725076, solarRadiusArcsec: 960 };
    const back = withSizes(withSizes(e, other), CANON_SIZES, other);
    for (const key of ["l1", "l2"] as const)
      back[key].forEach((c, i) => {
        expect(Math.abs(c - present(e[key][i]))).toBeLessThan(1e-12);
      });
    expect(Math.abs(back.tanF2 - e.tanF2)).toBeLessThan(1e-12);
  });

  it("the bound names six shares, joins them as root sum of squares and grows with doubt", () => {
    const e = elementsOf("2027-08-02");
    const place = { latDeg: 25.5, lonDeg: 33.2, heightM: 0 };
    const c = circumstances(e, place);
    expect(c.timingShares.map((s) => s.cause).sort()).toEqual(
      ["deltaT", "elements", "height", "limb", "place", "solarRadius"].sort(),
    );
    expect(c.timingBoundS).toBeCloseTo(Math.hypot(...c.timingShares.map((s) => s.s)), 9);
    expect(circumstances(e, place, { placeBoundM: 5000 }).timingBoundS).toBeGreaterThan(c.timingBoundS + 1);
    const limb = { c2ShiftS: -1.5, c3ShiftS: 0.4, boundS: 0.3, radiusBoundS: 0.2 };
    const withLimb = circumstances(e, place, { limb: () => limb });
    expect(withLimb.limb).toEqual({ c2ShiftS: -1.5, c3ShiftS: 0.4 });
    expect(withLimb.timingBoundS).toBeLessThan(c.timingBoundS);
    expect(withLimb.timingShares).toEqual(
      expect.arrayContaining([
        { cause: "limb", s: 0.3 },
        { cause: "solarRadius", s: 0.2 },
      ]),
    );
    expect(withLimb.contacts).toEqual(c.contacts);
  });

  it("the place's share is what moving the place does", () => {
    const e = elementsOf("2027-08-02");
    const place = { latDeg: 25.5, lonDeg: 33.2, heightM: 0 };
    const share = present(
      circumstances(e, place, { placeBoundM: 1000 }).timingShares.find((s) => s.cause === "place"),
    ).s;
    const base = circumstances(e, place);
    let worst = 0;
    for (let b = 0; b < 360; b += 5) {
      const north = 0.00902 * Math.cos((b * Math.PI) / 180);
      const east = (0.00898 * Math.sin((b * Math.PI) / 180)) / Math.cos((25.5 * Math.PI) / 180);
      const c = circumstances(e, { latDeg: 25.5 + north, lonDeg: 33.2 + east, heightM: 0 });
      for (const name of ["c2", "c3"] as const)
        worst = Math.max(
          worst,
          Math.abs(present(c.contacts[name]).utcMs - present(base.contacts[name]).utcMs) / 1000,
        );
    }
    expect(Math.abs(share / worst - 1)).toBeLessThan(0.05);
  });
});
