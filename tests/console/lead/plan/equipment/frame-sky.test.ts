/** What is drawn in a frame besides the Sun, and how long a camera that stands still has it. */
import { describe, expect, test } from "vitest";
import { fixedStand, frameSky } from "../../../../../console/lead/plan/equipment/frame-sky.ts";
import { skyAround } from "../../../../../hub/sky-around.ts";
import { utcMs } from "../../../../../shared/time/instants.ts";

const site = { latDeg: 25.69, lonDeg: 32.64, heightM: 80 };
const at = utcMs(Date.UTC(2027, 7, 2, 10, 5));
const { sun, ...around } = skyAround(at, site);
const sky = { ...around, maxUtcMs: at, radiusArcsec: sun.radiusArcsec };
const sensor = { widthMm: 36, heightMm: 24, widthPx: 6000, heightPx: 4000 };
const camera = { focalLengthMm: 50, sensor, mount: "equatorial" as const };

describe("a frame", () => {
  test("has Jupiter and Venus in it at 50 mm, and where they are on either mount is turned only", () => {
    const north = frameSky(sky, camera);
    const level = frameSky(sky, { ...camera, mount: "alt-azimuth" });
    expect(north).toMatchObject({ northDeg: 0, level: false });
    expect(level.level).toBe(true);
    const [a, b] = [north, level].map(({ bodies }) => bodies.find(({ name }) => name === "Venus"));
    expect(Math.hypot(a?.x ?? 0, a?.y ?? 0)).toBeCloseTo(Math.hypot(b?.x ?? 1, b?.y ?? 1), 6);
    // Venus is west of the Sun in August 2027, a morning star: on the right with north on top.
    expect(a?.x).toBeGreaterThan(0);
    // Regulus, 20.5° away to the east, is 18.7 mm from the middle at 50 mm and 22.4 mm at 60 mm; half a frame
    // is 18 mm wide and 12 mm high (arithmetic).
    const longer = frameSky(sky, { ...camera, focalLengthMm: 60 });
    expect(longer.bodies.map(({ name }) => name)).not.toContain("Regulus");
  });

  test("of a camera that stands still keeps the Sun for about its size over the drift", () => {
    const stand = fixedStand(sky, { ...camera, focalLengthMm: 200, mount: "tripod" }, null, site);
    // 15.04″ a second at cos 17.7° (RP 1398): 24 mm at 200 mm are 6.9°, 29 min; 36 mm are 10.3°, 43 min.
    const min = ((stand?.until ?? 0) - (stand?.from ?? 0)) / 60_000;
    expect(min).toBeGreaterThan(27);
    expect(min).toBeLessThan(53);
    // Astronomy-engine, by another way: the height that the hub tells.
    expect(Math.abs((stand?.pointing.altitudeDeg ?? 0) - sun.altitudeDeg)).toBeLessThan(0.03);
    expect(fixedStand(sky, camera, null, site)).toBeNull();
    expect(fixedStand(sky, { ...camera, mount: "alt-azimuth" }, "solar", site)).toBeNull();
    const narrow = fixedStand(sky, { ...camera, focalLengthMm: 5000, mount: "tripod" }, "none", site);
    expect(narrow).toMatchObject({ from: null, until: null });
  });
});
