/** The limb's table: what it holds, how it is packed, and that no eclipse looks beyond it. */
import * as Astronomy from "astronomy-engine";
import { describe, expect, it } from "vitest";
import { ldem4 } from "../../../scripts/limb/read-ldem.ts";
import { LimbBelt, packBelt } from "../../../shared/eclipse/limb-belt.ts";
import { limbProfile, moonFace } from "../../../shared/eclipse/limb-profile.ts";
import { limbBelt } from "../../../shared/eclipse/limb-table.ts";
import { type Observer, ShadowAtPlace } from "../../../shared/eclipse/shadow-at-place.ts";
import { eclipseById, eclipsesBetween } from "../../../shared/eclipse/table.ts";
import { utcMs } from "../../../shared/time/instants.ts";

const RAD = Math.PI / 180;
const direction = (latDeg: number, lonDeg: number) =>
  [
    Math.cos(latDeg * RAD) * Math.cos(lonDeg * RAD),
    Math.cos(latDeg * RAD) * Math.sin(lonDeg * RAD),
    Math.sin(latDeg * RAD),
  ] as const;
const ids = eclipsesBetween(utcMs(0), utcMs(4.2e12)).map((e) => e.id);
/** The shadow over a point given by its distances from the Earth's axis and equator, Earth radii. */
function over(id: string, rhoSin: number, rhoCos: number, lonDeg: number): ShadowAtPlace {
  const elements = eclipseById(id);
  if (!elements) throw new Error(id);
  const observer: Observer = { rhoSin, rhoCos, sinLat: 0, cosLat: 1, lonDeg };
  return new ShadowAtPlace(elements, observer, 70);
}

describe("limb belt", () => {
  it("packs and unpacks heights to half a step", () => {
    const height = (line: number, sample: number) => Math.sin(line * 0.7) * 3 + Math.cos(sample * 0.31) * 4;
    const held = (line: number, sample: number) => (line * 7 + sample) % 50 < 33;
    const packed = packBelt("test", held, height);
    const belt = LimbBelt.unpack(JSON.parse(JSON.stringify(packed)));
    for (let line = 3; line < 717; line += 17)
      for (let sample = 1; sample < 1440; sample += 13) {
        const [x, y, z] = direction(90 - (line + 0.5) / 4, (sample + 0.5) / 4);
        expect(belt.holds(x, y, z)).toBe(held(line, sample));
        if (held(line, sample))
          expect(Math.abs(belt.heightKm(x, y, z) - height(line, sample))).toBeLessThan(0.0325);
      }
  });

  it("refuses a damaged table and a file that is not LDEM_4", () => {
    const packed = packBelt(
      "test",
      () => true,
      () => 0,
    );
    expect(() => LimbBelt.unpack({ ...packed, heights: packed.heights.slice(0, 99) })).toThrow(/^heights/);
    expect(() => LimbBelt.unpack({ ...packed, stretches: [] })).toThrow(/^stretches/);
    expect(() => ldem4(new Uint8Array(10))).toThrow(/LDEM_4/);
  });

  it("reads half metres, little endian, line by line from the north-west", () => {
    // Source: PDS label of LDEM_4: LSB_INTEGER, 16 bits, scaling factor 0.5.
    const bytes = new Uint8Array(720 * 1440 * 2);
    new DataView(bytes.buffer).setInt16(2 * (3 * 1440 + 5), -4001, true);
    expect(ldem4(bytes)(3, 5)).toBeCloseTo(-2.0005, 9);
    expect(ldem4(bytes)(5, 3)).toBe(0);
  });

  it("knows the Moon's limb: Orientale is a deep basin inside high rings, Malapert stands high", () => {
    // From memory, not from a source at hand: Mare Orientale (19.4° S, 92.8° W) lies 2.5–3 km below
    // the reference sphere inside the Cordillera ring; the massif at 86° S, 3° E rises to about 5 km.
    const at = (latDeg: number, lonDeg: number) => limbBelt().heightKm(...direction(latDeg, lonDeg));
    expect(at(-19.4, -92.8)).toBeLessThan(-1.5);
    const ring = [-30, -12, -8].map((lat) => at(lat, -95));
    expect(Math.max(...ring)).toBeGreaterThan(at(-19.4, -92.8) + 3);
    const massif = [-85.6, -85.8, -86, -86.2].flatMap((lat) => [0, 2, 4].map((lon) => at(lat, lon)));
    expect(Math.max(...massif)).toBeGreaterThan(3.5);
  });

  it("covers the libration of every eclipse from anywhere on Earth", () => {
    let [lon, lat] = [0, 0];
    for (const id of ids.filter((_, i) => i % 2 === 0))
      for (const t of [-2.5, 2.5])
        for (const [rhoSin, rhoCos, lonDeg] of [
          [0.99, 0, 0],
          [-0.99, 0, 0],
          [0, 1, 0],
          [0, 1, 120],
          [0, 1, 240],
        ] as const) {
          const s = over(id, rhoSin, rhoCos, lonDeg);
          const p = moonFace(s, t);
          lon = Math.max(lon, Math.abs(p.librationLonDeg));
          lat = Math.max(lat, Math.abs(p.librationLatDeg));
        }
    expect(lon).toBeLessThan(6.5);
    expect(lat).toBeLessThan(3.2);
  });
});

describe("how the Moon is turned", () => {
  it("agrees with astronomy-engine's libration, distance and axis", () => {
    // Source: astronomy-engine 2.1.19: Libration (Meeus ch. 53, optical part: 0.04° off by the
    // physical libration it leaves out) and RotationAxis.
    for (const id of ids.filter((_, i) => i % 12 === 0)) {
      const s = over(id, 0, 0, 0);
      const p = moonFace(s, 0);
      const time = Astronomy.AstroTime.FromTerrestrialTime(
        (s.elements.t0TtMs - Date.UTC(2000, 0, 1, 12)) / 86_400_000,
      );
      const theirs = Astronomy.Libration(time);
      expect(Math.abs(p.librationLonDeg - theirs.elon)).toBeLessThan(0.04);
      expect(Math.abs(p.librationLatDeg - theirs.elat)).toBeLessThan(0.04);
      expect(Math.abs(p.distanceKm - theirs.dist_km)).toBeLessThan(20);
      // Position angle of the Moon's pole from the pole's and the Moon's equatorial coordinates.
      const pole = Astronomy.RotateVector(
        Astronomy.Rotation_EQJ_EQD(time),
        Astronomy.RotationAxis(Astronomy.Body.Moon, time).north,
      );
      const moon = Astronomy.RotateVector(
        Astronomy.Rotation_EQJ_EQD(time),
        Astronomy.GeoVector(Astronomy.Body.Moon, time, true),
      );
      const [ra, dec] = [Math.atan2(moon.y, moon.x), Math.atan2(moon.z, Math.hypot(moon.x, moon.y))];
      const east = -Math.sin(ra) * pole.x + Math.cos(ra) * pole.y;
      const north = -Math.sin(dec) * (Math.cos(ra) * pole.x + Math.sin(ra) * pole.y) + Math.cos(dec) * pole.z;
      const angle = Math.atan2(east, north) / RAD;
      expect(Math.abs(((p.axisAngleDeg - angle + 540) % 360) - 180)).toBeLessThan(0.3);
    }
  });

  it("shows a smooth Moon's outline as a circle of its radius", () => {
    const smooth = LimbBelt.unpack(
      packBelt(
        "test",
        () => true,
        () => 0,
      ),
    );
    const p = limbProfile(smooth, over("2027-08-02", 0, 0, 0), 0, 0.272281);
    // 1737.4 km against k = 0.272281 of 6378.137 km: 0.756 km, less the belt's rounding of 0.064 km.
    for (const h of p.heightKm) expect(Math.abs(h - (1737.4 - 0.272281 * 6378.137))).toBeLessThan(0.2);
  });
});
