/**
 * The stretch in which the Sun is up around an eclipse. Sources: astronomy-engine's own search for
 * sunrise and sunset (upper limb, refraction 34′, sea horizon), and the Sun's low-precision place of
 * Meeus ch. 25 (sun.ts, itself tested against astronomy-engine).
 */
import { Body, Observer, SearchRiseSet } from "astronomy-engine";
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { circumstances } from "../../../shared/eclipse/circumstances.ts";
import type { Circumstances, Place } from "../../../shared/eclipse/circumstances-types.ts";
import { sunAt } from "../../../shared/eclipse/sun.ts";
import { eclipseById, eclipsesBetween } from "../../../shared/eclipse/table.ts";
import { type UtcMs, utcMs } from "../../../shared/time/instants.ts";

const LOOK_BACK_MS = 1.5 * 3_600_000;
const at = (id: string, latDeg: number, lonDeg: number): Circumstances => {
  const elements = eclipseById(id);
  if (!elements) throw new Error(`the table lacks ${id}`);
  return circumstances(elements, { latDeg, lonDeg, heightM: 0 });
};
const spanMs = (c: Circumstances): [UtcMs, UtcMs] => {
  const { c1, c4 } = c.contacts;
  if (!c1 || !c4) throw new Error("no eclipse here");
  return [c1.utcMs, c4.utcMs];
};

describe("the stretch of an eclipse in which the Sun is up", () => {
  it.each([
    ["2030-11-25", -27.74, 147.57, "until"],
    ["2026-08-12", 39.47, -0.38, "until"],
    ["2028-01-26", 40.4, -3.7, "until"],
    ["2031-11-14", 24.78, 167.21, "from"],
    ["2027-08-02", 36, -20, "from"],
    ["2030-11-25", -20, 14.5, "from"],
  ] as const)(
    "on %s at %f, %f ends or begins where another program has the Sun set or rise",
    (id, latDeg, lonDeg, end) => {
      const c = at(id, latDeg, lonDeg);
      const up = c.sunUp;
      const [c1Ms, c4Ms] = spanMs(c);
      const observer = new Observer(latDeg, lonDeg, 0);
      const from = new Date(c1Ms - LOOK_BACK_MS);
      const days = (c4Ms - from.getTime()) / 86_400_000;
      const theirs = SearchRiseSet(Body.Sun, observer, end === "until" ? -1 : +1, from, days)?.date.getTime();
      const ours = end === "until" ? up?.untilUtcMs : up?.fromUtcMs;
      expect(end === "until" ? up?.fromUtcMs : up?.untilUtcMs).toBeNull();
      // Both take 34′ of refraction and a Sun of about 16′; a second or two of its path is left open.
      expect(Math.abs((ours ?? 0) - (theirs ?? 0))).toBeLessThan(5000);
    },
  );

  it("is the whole of it where the Sun stands high", () => {
    expect(at("2027-08-02", 25.69, 32.64).sunUp).toEqual({ fromUtcMs: null, untilUtcMs: null });
  });

  it("begins with a sunrise that comes before first contact, when people set up", () => {
    const c = at("2027-08-02", 36, -20);
    const [c1Ms] = spanMs(c);
    const riseMs = c.sunUp?.fromUtcMs ?? 0;
    expect(c.sunriseUtcMs).toBeNull();
    expect(riseMs).toBeGreaterThan(c1Ms - LOOK_BACK_MS);
    expect(riseMs).toBeLessThan(c1Ms);
  });

  it("is absent where nothing is seen, and where there is no eclipse", () => {
    const below = at("2027-08-02", -25, 180);
    expect(below.visible).toBe(false);
    expect(below.sunUp).toBeUndefined();
    expect(at("2027-08-02", -80, 0).kind).toBe("none");
    expect(at("2027-08-02", -80, 0).sunUp).toBeUndefined();
  });

  it("agrees everywhere with the Sun's low-precision place, and holds maximum where that is seen", () => {
    const anyPlace: fc.Arbitrary<Place> = fc.record({
      latDeg: fc.double({ min: -90, max: 90, noNaN: true }),
      lonDeg: fc.double({ min: -180, max: 180, noNaN: true }),
      heightM: fc.constant(0),
    });
    const near = eclipsesBetween(utcMs(Date.UTC(2024, 0)), utcMs(Date.UTC(2034, 0))).map(({ id }) => id);
    let cut = 0;
    fc.assert(
      fc.property(fc.constantFrom(...near), anyPlace, (id, place) => {
        const c = at(id, place.latDeg, place.lonDeg);
        if (!c.visible) return;
        const up = c.sunUp;
        if (!up) throw new Error("visible, yet never up");
        if (up.fromUtcMs !== null || up.untilUtcMs !== null) cut++;
        const [c1Ms, c4Ms] = spanMs(c);
        const maxMs = c.contacts.max?.utcMs ?? 0;
        const fromMs = up.fromUtcMs ?? c1Ms - LOOK_BACK_MS;
        const untilMs = up.untilUtcMs ?? c4Ms;
        expect(untilMs).toBeGreaterThanOrEqual(fromMs);
        // A tenth of a degree more than the two theories differ by.
        const limitDeg = -0.8333;
        for (let i = 0; i <= 40; i++) {
          const { altitudeDeg } = sunAt(utcMs(fromMs + ((untilMs - fromMs) * i) / 40), place);
          expect(altitudeDeg).toBeGreaterThan(limitDeg - 0.1);
        }
        for (const edgeMs of [up.fromUtcMs, up.untilUtcMs])
          if (edgeMs !== null)
            expect(Math.abs(sunAt(edgeMs, place).altitudeDeg - limitDeg)).toBeLessThan(0.1);
        if (c.contacts.max?.aboveHorizon) {
          expect(maxMs).toBeGreaterThanOrEqual(fromMs);
          expect(maxMs).toBeLessThanOrEqual(untilMs);
        }
      }),
      { seed: 20301125, numRuns: 3000 },
    );
    expect(cut).toBeGreaterThan(300);
  });
});
