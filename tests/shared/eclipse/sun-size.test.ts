/** The Sun's size and declination against an independent ephemeris (astronomy-engine). */
import * as A from "astronomy-engine";
import { expect, test } from "vitest";
import { sunDeclinationDeg, sunRadiusArcsec } from "../../../shared/eclipse/sun.ts";

test("through a year: radius to 0.1″, declination to 0.02°", () => {
  for (let day = 0; day < 366; day += 5) {
    const at = Date.UTC(2027, 0, 1) + day * 86_400_000;
    const { dist } = A.Equator(A.Body.Sun, new Date(at), new A.Observer(0, 0, 0), true, true);
    expect(Math.abs(sunRadiusArcsec(at) - 959.63 / dist)).toBeLessThan(0.1);
    const geocentric = A.EquatorFromVector(
      A.RotateVector(A.Rotation_EQJ_EQD(new Date(at)), A.GeoVector(A.Body.Sun, new Date(at), true)),
    );
    expect(Math.abs(sunDeclinationDeg(at) - geocentric.dec)).toBeLessThan(0.02);
  }
});
