/** The minute-by-minute track and the skyline, held to the contacts they must agree with. */
import { describe, expect, it } from "vitest";
import { circumstances } from "../../../shared/eclipse/circumstances.ts";
import { skylineAltitude, skylineCrossings } from "../../../shared/eclipse/skyline.ts";
import { refractionDeg, sunAt } from "../../../shared/eclipse/sun.ts";
import { eclipseById } from "../../../shared/eclipse/table.ts";
import { track } from "../../../shared/eclipse/track.ts";
import { utcMs } from "../../../shared/time/instants.ts";

const elements = eclipseById("2026-08-12");
if (!elements) throw new Error("missing");
/** On the central line near the Spanish coast. */
const place = { latDeg: 43.36, lonDeg: -5.85, heightM: 200 };
const c = circumstances(elements, place);

describe("track", () => {
  const points = track(elements, place);

  it("runs minute by minute from ten minutes before C1 to ten after C4", () => {
    const [first, second] = points;
    expect((first?.utcMs ?? 0) - (c.contacts.c1?.utcMs ?? 0)).toBeCloseTo(-600_000, 0);
    expect((second?.utcMs ?? 0) - (first?.utcMs ?? 0)).toBeCloseTo(60_000, 3);
    expect(points.length).toBe(
      Math.floor(((c.contacts.c4?.utcMs ?? 0) - (c.contacts.c1?.utcMs ?? 0) + 1_200_000) / 60_000) + 1,
    );
  });

  it("is uncovered before C1, wholly covered between C2 and C3 only, and dims in order", () => {
    for (const p of points) {
      const before = p.utcMs < (c.contacts.c1?.utcMs ?? 0) || p.utcMs > (c.contacts.c4?.utcMs ?? 0);
      if (before) expect(p.obscuration).toBe(0);
      const inner = p.utcMs > (c.contacts.c2?.utcMs ?? 0) && p.utcMs < (c.contacts.c3?.utcMs ?? 0);
      expect(p.obscuration === 1).toBe(inner);
      expect(p.sky === "totality").toBe(inner);
    }
    expect(new Set(points.map((p) => p.sky))).toEqual(
      new Set(["day", "softened", "dim", "dusk", "totality"]),
    );
  });

  it("has the Sun where the low-precision Sun is", () => {
    for (const p of points) {
      const sun = sunAt(p.utcMs, place);
      expect(Math.abs(p.altitudeDeg - sun.altitudeDeg)).toBeLessThan(0.02);
      expect(Math.abs(p.azimuthDeg - sun.azimuthDeg)).toBeLessThan(0.02);
    }
  });

  it("is empty where there is no eclipse, and refuses a bad step by name", () => {
    expect(track(elements, { latDeg: -40, lonDeg: 150, heightM: 0 })).toEqual([]);
    expect(() => track(elements, place, { stepS: 0 })).toThrow(/^stepS/);
  });
});

describe("skyline", () => {
  it("loses the upper limb exactly at the ridge's apparent altitude", () => {
    const { visibleAtStart, crossings } = skylineCrossings(elements, place, [
      { azimuthDeg: 280, altitudeDeg: 8 },
    ]);
    expect(visibleAtStart).toBe(true);
    expect(crossings.map((x) => x.what)).toEqual(["lost"]);
    const lost = crossings[0];
    if (!lost) throw new Error("no crossing");
    const limb = sunAt(lost.utcMs, place).altitudeDeg + 16 / 60;
    expect(Math.abs(limb + refractionDeg(limb) - 8)).toBeLessThan(0.02);
  });

  it("gives the Sun back between two peaks", () => {
    const ridge = [
      { azimuthDeg: 270, altitudeDeg: 0 },
      { azimuthDeg: 276, altitudeDeg: 20 },
      { azimuthDeg: 279, altitudeDeg: 0 },
      { azimuthDeg: 284, altitudeDeg: 0 },
      { azimuthDeg: 286, altitudeDeg: 30 },
      { azimuthDeg: 300, altitudeDeg: 30 },
    ];
    const { crossings } = skylineCrossings(elements, place, ridge);
    expect(crossings.map((x) => x.what)).toEqual(["lost", "back", "lost"]);
    for (const x of crossings) expect(x.altitudeDeg).toBeCloseTo(skylineAltitude(ridge)(x.azimuthDeg), 9);
  });

  it("without points is the sea horizon: the last crossing is the sunset", () => {
    const { crossings } = skylineCrossings(elements, place, [], {
      toUtcMs: utcMs((c.contacts.c4?.utcMs ?? 0) + 3_600_000),
    });
    const lost = crossings[crossings.length - 1];
    if (!lost) throw new Error("no sunset");
    // 34′ of refraction by definition against Sæmundsson's formula: the limb differs by 5′ at most.
    expect(Math.abs(sunAt(lost.utcMs, place).altitudeDeg + 50 / 60)).toBeLessThan(0.1);
  });

  it("joins its ends across north", () => {
    const top = skylineAltitude([
      { azimuthDeg: 350, altitudeDeg: 10 },
      { azimuthDeg: 10, altitudeDeg: 20 },
    ]);
    expect(top(0)).toBeCloseTo(15, 9);
    expect(top(355)).toBeCloseTo(12.5, 9);
    expect(top(180)).toBeCloseTo(15, 9);
  });

  it("refuses bad points by name", () => {
    expect(() => skylineCrossings(elements, place, [{ azimuthDeg: 400, altitudeDeg: 0 }])).toThrow(
      /^skyline\[0\]\.azimuthDeg/,
    );
    expect(() => skylineCrossings(elements, place, [{ azimuthDeg: 4, altitudeDeg: Number.NaN }])).toThrow(
      /^skyline\[0\]\.altitudeDeg/,
    );
  });
});
