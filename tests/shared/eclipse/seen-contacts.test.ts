/**
 * Contacts as seen: the Moon's limb and the Sun of eclipses, against a timing by eye, against plain
 * circles, and what the stated doubt of the Sun's radius must hold.
 */
import { describe, expect, it } from "vitest";
import { PathGeometry } from "../../../shared/eclipse/central-path.ts";
import { circumstances, shadowAt, utcAt } from "../../../shared/eclipse/circumstances.ts";
import type { Place } from "../../../shared/eclipse/circumstances-types.ts";
import {
  CANON_SIZES,
  SUN_OF_ECLIPSES_ARCSEC,
  SUN_OF_ECLIPSES_BOUND_ARCSEC,
  withSizes,
} from "../../../shared/eclipse/elements.ts";
import { type LimbEffect, limbEffect } from "../../../shared/eclipse/limb-effect.ts";
import { PROFILE_STEP_DEG } from "../../../shared/eclipse/limb-profile.ts";
import { limbBelt } from "../../../shared/eclipse/limb-table.ts";
import { ShadowAtPlace } from "../../../shared/eclipse/shadow-at-place.ts";
import { eclipseById } from "../../../shared/eclipse/table.ts";
import { localEclipse } from "../../../shared/plan/local-eclipse.ts";

const elementsOf = (id: string) => {
  const elements = eclipseById(id);
  if (!elements) throw new Error(`no elements for ${id}`);
  return elements;
};
const CANON_ARCSEC = CANON_SIZES.solarRadiusArcsec;

/** C2 and C3 as seen, ms, with the effect and the circumstances; null without a central phase. */
function seen(id: string, place: Place, radius = SUN_OF_ECLIPSES_ARCSEC): Seen | null {
  const key = JSON.stringify([id, place, radius]);
  const kept = known.get(key);
  if (kept !== undefined) return kept;
  const now = seenNow(id, place, radius);
  known.set(key, now);
  return now;
}
type Seen = NonNullable<ReturnType<typeof seenNow>>;
const known = new Map<string, Seen | null>();

function seenNow(id: string, place: Place, solarRadiusArcsec: number) {
  const effect = limbEffect(limbBelt(), elementsOf(id), place, { solarRadiusArcsec });
  const found = circumstances(elementsOf(id), place, { limb: () => effect ?? undefined });
  const { c2, c3 } = found.contacts;
  if (!effect || !c2 || !c3) return null;
  return {
    effect,
    found,
    c2Ms: c2.utcMs + 1000 * effect.c2ShiftS,
    c3Ms: c3.utcMs + 1000 * effect.c3ShiftS,
    shareS: found.timingShares.find(({ cause }) => cause === "solarRadius")?.s ?? Number.NaN,
  };
}
const present = <T>(value: T | null | undefined): T => {
  if (value === null || value === undefined) throw new Error("missing");
  return value;
};

/**
 * Total, annular and hybrid eclipses since 2001 and to come, at both edges at 40 % of the path's time,
 * from just inside the edge inward; fractions of the way to the central line.
 */
const ECLIPSES = ["2001-06-21", "2024-04-08", "2026-08-12", "2028-01-26", "2023-10-14", "2031-11-14"];
const INWARD = [0.002, 0.005, 0.01, 0.02, 0.035, 0.06, 0.1];
function nearEdges(id: string): Place[] {
  const geometry = new PathGeometry(elementsOf(id));
  const hours = present(geometry.axisHours());
  const t = hours.from + 0.4 * (hours.to - hours.from);
  const centre = present(geometry.axisGround(t));
  return ([1, -1] as const).flatMap((side) => {
    const edge = present(geometry.limitAt(t, side));
    return INWARD.map((way) => ({
      latDeg: edge.latDeg + way * (centre.latDeg - edge.latDeg),
      lonDeg: edge.lonDeg + way * (centre.lonDeg - edge.lonDeg),
      heightM: 0,
    }));
  });
}

describe("a timing by eye of 2001-06-21", () => {
  // Source: R. Bareford, observed from 16°02.969′ S 28°51.308′ E, height 400 m: last bead 13:11:18,
  // first bead 13:12:15 UT, to whole seconds. A place near the path's edge, where radii tell.
  const place = { latDeg: -(16 + 2.969 / 60), lonDeg: 28 + 51.308 / 60, heightM: 400 };
  const LAST_BEAD_MS = Date.UTC(2001, 5, 21, 13, 11, 18);
  const FIRST_BEAD_MS = Date.UTC(2001, 5, 21, 13, 12, 15);
  const missS = ({ c2Ms, c3Ms }: Seen) => [(c2Ms - LAST_BEAD_MS) / 1000, (c3Ms - FIRST_BEAD_MS) / 1000];
  const at = (radius?: number) => present(seen("2001-06-21", place, radius));

  it("is met within 2 s with the Sun of eclipses", () => {
    const miss = missS(at());
    for (const s of miss) expect(Math.abs(s)).toBeLessThan(2);
    // As computed: +1.8 and +1.1 s. Beside them, what the canon's Sun gives, on the unsafe side.
    expect(miss.map((s) => s.toFixed(1))).toEqual(["1.8", "1.1"]);
    expect(missS(at(CANON_ARCSEC)).map((s) => s.toFixed(1))).toEqual(["-2.9", "3.0"]);
  });

  it("is missed by no more than the stated bound, with its half second of rounding", () => {
    const { found, ...rest } = at();
    for (const s of missS({ found, ...rest })) expect(Math.abs(s)).toBeLessThan(found.timingBoundS + 0.5);
  });

  it("lasted the 57 s that a Sun of 959.92″ gives, within the doubt of the radius", () => {
    const { c2Ms, c3Ms } = at(959.92);
    expect((c3Ms - c2Ms) / 1000).toBeCloseTo(57, 0);
    expect(Math.abs(959.92 - SUN_OF_ECLIPSES_ARCSEC)).toBeLessThan(SUN_OF_ECLIPSES_BOUND_ARCSEC);
  });
});

describe("the Sun of eclipses", () => {
  const TOTAL = { latDeg: 25.5, lonDeg: 33.2, heightM: 0 };

  it("is the default, and another may be asked for; contacts stay the canon's", () => {
    const [byDefault, asked, canon] = [
      limbEffect(limbBelt(), elementsOf("2027-08-02"), TOTAL),
      seen("2027-08-02", TOTAL, 959.95)?.effect,
      seen("2027-08-02", TOTAL, 959.63)?.effect,
    ].map(present);
    expect(byDefault?.c2ShiftS).toBe(asked?.c2ShiftS);
    expect(canon?.c2ShiftS).not.toBe(asked?.c2ShiftS);
    expect(present(seen("2027-08-02", TOTAL, 959.63)).found.contacts).toEqual(
      present(seen("2027-08-02", TOTAL, 959.95)).found.contacts,
    );
  });

  it("makes a totality shorter at both its ends, a ring longer at both", () => {
    const [t, tCanon] = [SUN_OF_ECLIPSES_ARCSEC, CANON_ARCSEC].map((r) => seen("2027-08-02", TOTAL, r));
    expect(present(t).c2Ms - present(tCanon).c2Ms).toBeGreaterThan(400);
    expect(present(tCanon).c3Ms - present(t).c3Ms).toBeGreaterThan(400);
    const ring = { latDeg: 3, lonDeg: -51.5, heightM: 0 };
    const [r, rCanon] = [SUN_OF_ECLIPSES_ARCSEC, CANON_ARCSEC].map((arcsec) =>
      seen("2028-01-26", ring, arcsec),
    );
    expect(present(rCanon).c2Ms - present(r).c2Ms).toBeGreaterThan(400);
    expect(present(r).c3Ms - present(rCanon).c3Ms).toBeGreaterThan(400);
  });

  it("leaves nothing of some totalities that the canon's Sun has: they count as partial (S2)", () => {
    let lost = 0;
    for (const id of ["2001-06-21", "2024-04-08", "2026-08-12", "2031-11-14"])
      for (const place of nearEdges(id)) {
        const [canon, larger] = [CANON_ARCSEC, SUN_OF_ECLIPSES_ARCSEC].map((r) => seen(id, place, r));
        if (!canon || !larger || canon.effect.broken || !larger.effect.broken) continue;
        lost++;
        expect([canon.found.kind, larger.found.kind]).toEqual(["total", "total"]);
        expect(localEclipse(canon.found).kind).toBe("total");
        expect(localEclipse(larger.found)).toMatchObject({ kind: "partial", cut: "limb" });
      }
    expect(lost).toBeGreaterThan(3);
  });
});

/** The times, ms, for which plain discs, the Moon's with its outline, show no light (a whole ring). */
function wholePhases(id: string, place: Place, effect: LimbEffect, radius: number): [number, number][] {
  const { shadow, sizes } = shadowAt(elementsOf(id), place);
  const over = new ShadowAtPlace(
    withSizes(elementsOf(id), { ...sizes, solarRadiusArcsec: radius }),
    shadow.observer,
    shadow.deltaTS,
  );
  const smooth = circumstances(elementsOf(id), place);
  const [c2, c3] = [present(smooth.contacts.c2).utcMs, present(smooth.contacts.c3).utcMs];
  const total = smooth.kind === "total";
  const t0Ms = utcAt(elementsOf(id), 0);
  const around = Array.from(effect.profile.heightKm, (km, j) => {
    const q = (j * PROFILE_STEP_DEG * Math.PI) / 180;
    // A length on the Moon is 1.0026 times as long on the umbra's plane.
    return { sin: Math.sin(q), cos: Math.cos(q), outline: (1.0026 * km) / 6378.137 };
  });
  const phases: [number, number][] = [];
  let from: number | null = null;
  for (let ms = c2 - 20_000; ms <= c3 + 20_000; ms += 100) {
    const { u, v, l1, l2 } = over.at((ms - t0Ms) / 3_600_000);
    const sun = (l1 + l2) / 2;
    const moon = sun - l2;
    // From the Moon's centre: how far out the Sun's edge stands at each angle, and the outline.
    const whole = around.every(({ sin, cos, outline }) => {
      const across = u * cos - v * sin;
      const edge = -u * sin - v * cos + Math.sqrt(sun * sun - across * across);
      return total ? edge <= moon + outline : edge >= moon + outline;
    });
    if (whole) from ??= ms;
    else if (from !== null) {
      phases.push([from, ms]);
      from = null;
    }
  }
  return phases;
}

describe("contacts seen near a path's edge", () => {
  it.each(ECLIPSES)("are those of plain discs with the outline, in %s", (id) => {
    let [whole, broken] = [0, 0];
    for (const place of nearEdges(id)) {
      const at = seen(id, place);
      if (!at) continue;
      const plain = wholePhases(id, place, at.effect, SUN_OF_ECLIPSES_ARCSEC);
      if (at.effect.broken) {
        broken++;
        // Where the phase hangs by a moment, either may miss it.
        expect(Math.max(0, ...plain.map(([c2, c3]) => c3 - c2))).toBeLessThanOrEqual(500);
        continue;
      }
      whole++;
      // Looked at every 0.1 s; a grazing edge creeps.
      const off = plain.map(([c2, c3]) => Math.max(Math.abs(at.c2Ms - c2), Math.abs(at.c3Ms - c3)));
      expect(Math.min(...off, at.c3Ms - at.c2Ms), JSON.stringify(place)).toBeLessThan(400);
    }
    expect(whole).toBeGreaterThan(3);
    if (id === "2001-06-21") expect(broken).toBeGreaterThan(1);
  });

  it("are found where a valley shows light in the middle of a grazing totality, whole before and after", () => {
    // A seed that broke: light shone through 12 s from the heart and was gone again at the reach's end.
    const place = { latDeg: -5.054723770384451, lonDeg: 0.6222213927983953, heightM: 0 };
    for (const radius of [959.85, 959.75, CANON_ARCSEC]) {
      const at = present(seen("2046-08-02", place, radius));
      const plain = wholePhases("2046-08-02", place, at.effect, radius);
      const off = plain.map(([c2, c3]) => Math.max(Math.abs(at.c2Ms - c2), Math.abs(at.c3Ms - c3)));
      expect(Math.min(...off)).toBeLessThan(400);
    }
    const [small, usual] = [959.85, SUN_OF_ECLIPSES_ARCSEC].map((r) => present(seen("2046-08-02", place, r)));
    const most = Math.max(
      Math.abs(present(small).c2Ms - present(usual).c2Ms),
      Math.abs(present(small).c3Ms - present(usual).c3Ms),
    );
    expect(most / 1000).toBeLessThan(present(usual).shareS + 0.1);
  });

  it.each(ECLIPSES)("never move with the Sun's radius by more than its share allows, in %s", (id) => {
    const off = SUN_OF_ECLIPSES_BOUND_ARCSEC;
    let moved = 0;
    for (const place of nearEdges(id)) {
      const at = seen(id, place);
      if (!at) continue;
      for (const by of [-off, -0.05, 0.03, off]) {
        const other = present(seen(id, place, SUN_OF_ECLIPSES_ARCSEC + by));
        const most = Math.max(Math.abs(other.c2Ms - at.c2Ms), Math.abs(other.c3Ms - at.c3Ms)) / 1000;
        expect(most, `${JSON.stringify(place)} by ${by}″`).toBeLessThan(at.shareS + 0.1);
        moved = Math.max(moved, most);
      }
    }
    // The check is not idle: near an edge a tenth of an arcsecond is seconds.
    expect(moved).toBeGreaterThan(1);
  });

  it("have a share that is the doubt's, not the whole step from the canon's Sun", () => {
    const place = { latDeg: 25.5, lonDeg: 33.2, heightM: 0 };
    const { shareS } = present(seen("2027-08-02", place));
    const smooth = circumstances(elementsOf("2027-08-02"), place).timingShares;
    // 0.10″ of 0.32″.
    const step = present(smooth.find(({ cause }) => cause === "solarRadius")).s;
    expect(shareS / step).toBeGreaterThan(0.2);
    expect(shareS / step).toBeLessThan(0.5);
    // Asked for the canon's Sun, the bound tells how far the true one may be off: further.
    expect(present(seen("2027-08-02", place, CANON_ARCSEC)).shareS).toBeGreaterThan(step);
  });
});
