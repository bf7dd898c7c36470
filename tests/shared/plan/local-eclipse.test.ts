import { describe, expect, test } from "vitest";
import type { Circumstances, Contact } from "../../../shared/eclipse/circumstances-types.ts";
import { localEclipse, NO_ECLIPSE } from "../../../shared/plan/local-eclipse.ts";
import { utcMs } from "../../../shared/time/instants.ts";

const contact = (iso: string, aboveHorizon = true): Contact => ({
  utcMs: utcMs(Date.parse(iso)),
  altitudeDeg: aboveHorizon ? 4.4 : -3,
  azimuthDeg: 285,
  positionAngleDeg: 0,
  positionAngleFromZenithDeg: 0,
  aboveHorizon,
});

/**
 * Valencia, 12 August 2026: US Naval Observatory, Solar eclipse local circumstances, Astronomical
 * Applications API 4.0.1: C1 17:38:21.5, C2 18:32:25.7, maximum 18:32:55.2, C3 18:33:26.7 UT,
 * duration 61.0 s, Sun 4.5° high; C4 after sunset (its time here is from memory, and unused).
 */
const VALENCIA: Circumstances = {
  eclipse: "2026-08-12",
  kind: "total",
  visible: true,
  deltaTS: 69.1,
  kPenumbra: 0.2725076,
  kUmbra: 0.272281,
  contacts: {
    c1: contact("2026-08-12T17:38:21.5Z"),
    c2: contact("2026-08-12T18:32:25.7Z"),
    max: contact("2026-08-12T18:32:55.2Z"),
    c3: contact("2026-08-12T18:33:26.7Z"),
    c4: contact("2026-08-12T19:24:00Z", false),
  },
  durationS: 61,
  magnitude: 1.01,
  ratio: 1.03,
  obscuration: 1,
  timingBoundS: 2,
  timingShares: [],
  sunriseUtcMs: null,
  sunsetUtcMs: null,
};

describe("what a site gets", () => {
  test("is nothing while no site or eclipse is chosen", () => {
    expect(localEclipse(null)).toEqual(NO_ECLIPSE);
  });

  test("is the published totality, with the contacts where they are", () => {
    const gets = localEclipse(VALENCIA);
    expect(gets.kind).toBe("total");
    expect(gets.totalityS).toBeCloseTo(61.0, 3);
    expect(gets.contacts.c2).toBe(Date.parse("2026-08-12T18:32:25.7Z"));
    expect(gets.cut).toBeNull();
  });

  test("has the Moon's limb added to C2 and C3, and to nothing else", () => {
    const gets = localEclipse({ ...VALENCIA, limb: { c2ShiftS: 1.5, c3ShiftS: -2 } });
    expect(gets.totalityS).toBeCloseTo(57.5, 6);
    expect(gets.contacts.c2).toBe(Date.parse("2026-08-12T18:32:27.2Z"));
    expect(gets.contacts.max).toBe(Date.parse("2026-08-12T18:32:55.2Z"));
  });

  test("is partial when the Sun is down at either end of totality (S2)", () => {
    for (const end of ["c2", "c3"] as const) {
      const below = { ...(VALENCIA.contacts[end] as Contact), aboveHorizon: false };
      const gets = localEclipse({ ...VALENCIA, contacts: { ...VALENCIA.contacts, [end]: below } });
      expect(gets).toMatchObject({ kind: "partial", totalityS: 0, cut: "horizon" });
      expect(gets.contacts.c2).toBeNull();
      expect(gets.contacts.c3).toBeNull();
      expect(gets.contacts.max).not.toBeNull();
    }
  });

  test("is partial when the limb leaves nothing of totality (S2)", () => {
    expect(localEclipse({ ...VALENCIA, limb: { c2ShiftS: 31, c3ShiftS: -30 } })).toMatchObject({
      kind: "partial",
      totalityS: 0,
      cut: "limb",
    });
  });

  test("is nothing when all of it is below the horizon", () => {
    expect(localEclipse({ ...VALENCIA, visible: false })).toEqual(NO_ECLIPSE);
  });

  test("has the stretch in which the Sun is up, where that is known", () => {
    // Valencia's sunset on that evening: 19:00 UT (from memory; only carried here).
    const sunUp = { fromUtcMs: null, untilUtcMs: utcMs(Date.parse("2026-08-12T19:00:00Z")) };
    expect(localEclipse({ ...VALENCIA, sunUp }).sunUp).toEqual(sunUp);
    expect(localEclipse({ ...VALENCIA, kind: "partial", sunUp }).sunUp).toEqual(sunUp);
    expect(localEclipse(VALENCIA)).not.toHaveProperty("sunUp");
    // A plan of before there was such a field gets what it got, where the Sun neither rises nor sets.
    const always = { fromUtcMs: null, untilUtcMs: null };
    expect(localEclipse({ ...VALENCIA, sunUp: always })).toEqual(localEclipse(VALENCIA));
  });

  test("of an annular eclipse is a ring and no totality", () => {
    expect(localEclipse({ ...VALENCIA, kind: "annular" })).toMatchObject({ kind: "annular", totalityS: 0 });
    expect(localEclipse({ ...VALENCIA, kind: "annular" }).ringS).toBeCloseTo(61, 3);
  });
});
