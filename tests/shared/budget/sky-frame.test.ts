/** What stands around the Sun in a frame, against the level camera's own projection and geometry. */
import * as A from "astronomy-engine";
import { describe, expect, test } from "vitest";
import { skyAround } from "../../../hub/sky-around.ts";
import { projectMm } from "../../../shared/budget/fixed-pointing.ts";
import { northInFrameDeg } from "../../../shared/budget/frame-turn.ts";
import { aroundInFrame } from "../../../shared/budget/sky-frame.ts";

const place = { latDeg: 25.69, lonDeg: 32.64, heightM: 80 };
const at = Date.UTC(2027, 7, 2, 10, 5);

describe("around the Sun", () => {
  const sky = skyAround(at, place);
  const of = (name: string) => sky.bodies.find((body) => body.name === name);

  test("distances are those of the independent library's own angle function (astronomy-engine)", () => {
    for (const body of [A.Body.Mercury, A.Body.Venus, A.Body.Jupiter]) {
      // From the middle of the Earth; parallax and light time make less than 0.01°.
      const theirs = A.AngleFromSun(body, new A.AstroTime(new Date(at)));
      expect(Math.abs((of(body)?.separationDeg ?? 0) - theirs)).toBeLessThan(0.02);
    }
  });

  test("Regulus stands 20.7° from the Sun, on its eastern side", () => {
    // By hand: on 2 August the Sun is at ecliptic longitude 129.7° (Meeus ch. 25), Regulus at 149.83° + 27.6 a
    // of precession at 50.3″ = 150.22°, latitude +0.46° (from memory): 20.5° apart.
    expect(of("Regulus")?.separationDeg).toBeGreaterThan(20.2);
    expect(of("Regulus")?.separationDeg).toBeLessThan(20.9);
    expect(of("Regulus")?.positionAngleDeg).toBeGreaterThan(60);
    expect(of("Regulus")?.positionAngleDeg).toBeLessThan(130);
  });

  test("what is below the horizon is not told, and the brightest come first", () => {
    expect(sky.bodies.every(({ altitudeDeg }) => altitudeDeg > 0)).toBe(true);
    // Fomalhaut is on the other side of the sky at noon in August.
    expect(of("Fomalhaut")).toBeUndefined();
    const magnitudes = sky.bodies.map(({ magnitude }) => magnitude);
    expect(magnitudes).toEqual([...magnitudes].sort((a, b) => a - b));
    // Venus near −3.9 in any year (common knowledge, no source).
    expect(of("Venus")?.magnitude).toBeLessThan(-3.5);
  });

  test("a level tripod has them where azimuth and altitude put them, to 1 % of the way", () => {
    const observer = new A.Observer(place.latDeg, place.lonDeg, place.heightM);
    for (const when of [at, at - 3 * 3_600_000]) {
      const then = skyAround(when, place);
      const north = northInFrameDeg("tripod", then.zenithAngleDeg);
      for (const body of [A.Body.Venus, A.Body.Mercury]) {
        const one = then.bodies.find(({ name }) => name === body);
        const equ = A.Equator(body, new Date(when), observer, true, true);
        const hor = A.Horizon(new Date(when), observer, equ.ra, equ.dec, "");
        const sun = A.Equator(A.Body.Sun, new Date(when), observer, true, true);
        const pointing = A.Horizon(new Date(when), observer, sun.ra, sun.dec, "");
        const theirs = projectMm(
          { azimuthDeg: hor.azimuth, altitudeDeg: hor.altitude },
          { azimuthDeg: pointing.azimuth, altitudeDeg: pointing.altitude },
          50,
        );
        const ours = one && aroundInFrame(one, 50, north);
        const apart = Math.hypot(
          (ours?.xMm ?? 99) - (theirs?.xMm ?? 0),
          (ours?.yMm ?? 99) - (theirs?.yMm ?? 0),
        );
        expect(apart).toBeLessThan(0.01 * Math.hypot(theirs?.xMm ?? 0, theirs?.yMm ?? 0) + 0.02);
      }
    }
  });

  test("with the sky's north on top, east lies to the left", () => {
    const left = aroundInFrame({ separationDeg: 1, positionAngleDeg: 90 }, 100, 0);
    expect(left?.xMm).toBeCloseTo(-100 * Math.tan(Math.PI / 180), 6);
    expect(left?.yMm).toBeCloseTo(0, 6);
    expect(aroundInFrame({ separationDeg: 120, positionAngleDeg: 0 }, 100, 0)).toBeUndefined();
  });
});
