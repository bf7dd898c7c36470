/** Limb corrections against NASA's bulletins, and what beads and shifts must satisfy by themselves. */
import { readFileSync } from "node:fs";
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { PathGeometry } from "../../../shared/eclipse/central-path.ts";
import { type CircumstancesOptions, circumstances } from "../../../shared/eclipse/circumstances.ts";
import type { Place } from "../../../shared/eclipse/circumstances-types.ts";
import { CANON_SIZES } from "../../../shared/eclipse/elements.ts";
import { LimbBelt, packBelt } from "../../../shared/eclipse/limb-belt.ts";
import { limbEffect } from "../../../shared/eclipse/limb-effect.ts";
import { limbBelt } from "../../../shared/eclipse/limb-table.ts";
import { islandsOf } from "../../../shared/eclipse/persistence.ts";
import { eclipseById, eclipsesBetween } from "../../../shared/eclipse/table.ts";
import { utcMs } from "../../../shared/time/instants.ts";

const elementsOf = (id: string) => {
  const elements = eclipseById(id);
  if (!elements) throw new Error(`no elements for ${id}`);
  return elements;
};
const effectAt = (id: string, place: Place, options: CircumstancesOptions = {}) => {
  const effect = limbEffect(limbBelt(), elementsOf(id), place, options);
  if (!effect) throw new Error(`no central phase of ${id}`);
  return effect;
};
/** What printed limb corrections are for: the limb alone. */
const CANON_SUN = { solarRadiusArcsec: CANON_SIZES.solarRadiusArcsec };
const published = JSON.parse(
  readFileSync(new URL("../../fixtures/eclipse/published-limb-corrections.json", import.meta.url), "utf8"),
) as { "2002-12-04 total": [string, number, number][] };

describe("limb corrections", () => {
  it.each(published["2002-12-04 total"])(
    "2002-12-04 at %s UT: libration %f°, duration %f s",
    (ut, libration, correction) => {
      // Source: NASA bulletin Table 6 (fixture), from Watts' charts, which are up to 0.4″ off in places
      // (about 1 s); UT = TT − 64.3 s.
      const e = elementsOf("2002-12-04");
      const [h = 0, m = 0] = ut.split(":").map(Number);
      const dayMs = Math.floor(e.greatestTtMs / 86_400_000) * 86_400_000;
      const t = (dayMs + (h * 60 + m) * 60_000 + 64_300 - e.t0TtMs) / 3_600_000;
      const ground = new PathGeometry(e, { deltaTS: 64.3 }).axisGround(t);
      if (!ground) throw new Error("no path");
      const effect = effectAt("2002-12-04", { ...ground, heightM: 0 }, CANON_SUN);
      expect(Math.abs(effect.profile.librationLonDeg - libration)).toBeLessThan(0.04);
      expect(Math.abs(effect.c3ShiftS - effect.c2ShiftS - correction)).toBeLessThan(0.5);
    },
  );

  it("shortens the annular phase of 1994-05-10 by 6–13 s along the path", () => {
    // Source: NASA RP 1301, Table 6: −7.8 to −12.9 s (Watts' charts).
    const geometry = new PathGeometry(elementsOf("1994-05-10"));
    const hours = geometry.axisHours();
    if (!hours) throw new Error("no path");
    const corrections = [0.2, 0.35, 0.5, 0.65, 0.8].map((f) => {
      const ground = geometry.axisGround(hours.from + f * (hours.to - hours.from));
      if (!ground) throw new Error("no path");
      const effect = effectAt("1994-05-10", { ...ground, heightM: 0 }, CANON_SUN);
      return effect.c3ShiftS - effect.c2ShiftS;
    });
    for (const c of corrections) {
      expect(c).toBeGreaterThan(-13.5);
      expect(c).toBeLessThan(-6.5);
    }
  });

  it("a Moon without relief but of another radius shifts both contacts as that radius would", () => {
    const flat = LimbBelt.unpack(
      packBelt(
        "test",
        () => true,
        () => 1,
      ),
    );
    const e = elementsOf("2024-04-08");
    const place = { latDeg: 32.78, lonDeg: -96.8, heightM: 140 };
    const effect = limbEffect(flat, e, place, CANON_SUN);
    const smooth = circumstances(e, place);
    // The belt's sphere of 1737.4 km with 1 km on it (rounded to 0.064 km), in Earth radii.
    const larger = circumstances(e, place, {
      kUmbra: (1737.4 + 0.064 * Math.round(10.216 / 0.064) - 9.216) / 6378.137,
    });
    const shift = (name: "c2" | "c3") =>
      ((larger.contacts[name]?.utcMs ?? 0) - (smooth.contacts[name]?.utcMs ?? 0)) / 1000;
    expect(Math.abs((effect?.c2ShiftS ?? 9) - shift("c2"))).toBeLessThan(0.05);
    expect(Math.abs((effect?.c3ShiftS ?? 9) - shift("c3"))).toBeLessThan(0.05);
  });

  it("is null without a central phase", () => {
    expect(
      limbEffect(limbBelt(), elementsOf("2024-04-08"), { latDeg: 48.4, lonDeg: -123.4, heightM: 0 }),
    ).toBeNull();
    expect(
      limbEffect(limbBelt(), elementsOf("2024-04-08"), { latDeg: -30, lonDeg: 100, heightM: 0 }),
    ).toBeNull();
  });

  it("stays about within what the smooth Moon's bound allows for it, on every sixth central line", () => {
    const central = eclipsesBetween(utcMs(0), utcMs(4.2e12)).filter((e) => e.durationS > 40);
    const ratios = central
      .filter((_, i) => i % 6 === 0)
      .map((summary) => {
        const place = { latDeg: summary.latDeg, lonDeg: summary.lonDeg, heightM: 0 };
        const effect = effectAt(summary.id, place, CANON_SUN);
        const { timingShares } = circumstances(elementsOf(summary.id), place);
        const share = timingShares.find((s) => s.cause === "limb")?.s ?? 0;
        expect(effect.boundS).toBeLessThan(share / 4);
        return Math.max(Math.abs(effect.c2ShiftS), Math.abs(effect.c3ShiftS)) / share;
      });
    expect(ratios.length).toBeGreaterThan(20);
    // A 95 % bound: some may pass it, none by much, and it is not idle either.
    expect(ratios.filter((r) => r > 1).length).toBeLessThan(0.15 * ratios.length);
    expect(Math.max(...ratios)).toBeLessThan(1.2);
    expect(Math.max(...ratios)).toBeGreaterThan(0.7);
  });
});

describe("limb anywhere in the path", () => {
  it("gives finite shifts and ordered windows, grazing sites included", () => {
    const central = eclipsesBetween(utcMs(0), utcMs(4.2e12)).filter((e) => e.durationS > 0);
    fc.assert(
      fc.property(
        fc.constantFrom(...central),
        fc.double({ min: -0.9, max: 0.9, noNaN: true }),
        fc.double({ min: -0.9, max: 0.9, noNaN: true }),
        (summary, north, east) => {
          const place = {
            latDeg: Math.max(-90, Math.min(90, summary.latDeg + north)),
            lonDeg: summary.lonDeg + east,
            heightM: 0,
          };
          const smooth = circumstances(elementsOf(summary.id), place);
          const effect = limbEffect(limbBelt(), elementsOf(summary.id), place);
          expect(effect === null).toBe(smooth.contacts.c2 === null);
          if (!effect) return;
          // The phase never turns inside out: at worst its ends cross by 2 ms, and only when it is broken.
          const lengthS = smooth.durationS + effect.c3ShiftS - effect.c2ShiftS;
          expect(lengthS).toBeGreaterThan(-0.0021);
          expect(lengthS < 0).toBe(effect.broken);
          expect(Number.isFinite(effect.c2ShiftS + effect.c3ShiftS + effect.boundS)).toBe(true);
          for (const b of [...effect.beads.c2, ...effect.beads.c3])
            expect(b.toUtcMs).toBeGreaterThan(b.fromUtcMs);
        },
      ),
      { numRuns: 60, seed: 20260812 },
    );
  });
});

describe("bead windows", () => {
  const place = { latDeg: 43.36, lonDeg: -5.85, heightM: 230 };
  const c = circumstances(elementsOf("2026-08-12"), place);
  const effect = effectAt("2026-08-12", place);
  const c2 = (c.contacts.c2?.utcMs ?? 0) + effect.c2ShiftS * 1000;
  const c3 = (c.contacts.c3?.utcMs ?? 0) + effect.c3ShiftS * 1000;

  it("end at the limb-corrected C2 at the latest, one of them just there, and start at C3", () => {
    expect(effect.beads.c2.length).toBeGreaterThan(3);
    expect(effect.beads.c3.length).toBeGreaterThan(3);
    expect(Math.max(...effect.beads.c2.map((b) => b.toUtcMs))).toBeCloseTo(c2, 3);
    expect(Math.min(...effect.beads.c3.map((b) => b.fromUtcMs))).toBeCloseTo(c3, 3);
    for (const b of [...effect.beads.c2, ...effect.beads.c3]) {
      expect(b.toUtcMs - b.fromUtcMs).toBeGreaterThanOrEqual(400);
      expect(b.toUtcMs - b.fromUtcMs).toBeLessThan(40_000);
    }
  });

  it("lie around the contact's place on the limb", () => {
    for (const name of ["c2", "c3"] as const)
      for (const b of effect.beads[name]) {
        const off = Math.abs(
          ((b.positionAngleDeg - (c.contacts[name]?.positionAngleDeg ?? 0) + 540) % 360) - 180,
        );
        expect(off).toBeLessThan(75);
      }
  });

  it("islands of a circle are its minima with their ridges", () => {
    // By hand: minima 1 (at 1) and 2 (at 5) and 0 (at 8); ridges 5 (at 3), 4 (at 7), 6 (at 0).
    const islands = islandsOf(Float64Array.from([6, 1, 3, 5, 3, 2, 3, 4, 0, 5]), 10);
    expect(islands.sort((a, b) => a.index - b.index)).toEqual([
      { index: 1, peak: 1, merge: 5 },
      { index: 5, peak: 2, merge: 4 },
      { index: 8, peak: 0, merge: 4 },
    ]);
    expect(islandsOf(Float64Array.from([6, 6, 6]), 5)).toEqual([]);
  });
});
