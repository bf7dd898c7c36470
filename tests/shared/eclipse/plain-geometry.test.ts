/**
 * Contacts without Besselian elements: Sun and Moon as spheres seen from the place, by vectors.
 * Two spheres touch when their centres are the sum or the difference of their angular radii apart
 * (plane geometry); the place is WGS84's formula. Shares only the ephemeris with the table, so the
 * solver, the fit, the fundamental plane and all angles are on trial.
 */
import { describe, expect, it } from "vitest";
import { earthOrientation } from "../../../scripts/elements/earth-orientation.ts";
import { apparentMoon, apparentSun, type Vector } from "../../../scripts/elements/ephemeris.ts";
import { circumstances } from "../../../shared/eclipse/circumstances.ts";
import type { ContactName, Place } from "../../../shared/eclipse/circumstances-types.ts";
import { AU_KM, CANON_SIZES, EARTH_RADIUS_KM } from "../../../shared/eclipse/elements.ts";
import { eclipseById } from "../../../shared/eclipse/table.ts";
import type { UtcMs } from "../../../shared/time/instants.ts";
import { ttFromUtc } from "../../../shared/time/time-scales.ts";

const RAD = Math.PI / 180;
const SUN_RADIUS_KM = Math.sin((CANON_SIZES.solarRadiusArcsec / 3600) * RAD) * AU_KM;

const minus = (a: Vector, b: Vector): Vector => [a[0] - b[0], a[1] - b[1], a[2] - b[2]];
const dot = (a: Vector, b: Vector) => a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
const cross = (a: Vector, b: Vector): Vector => [
  a[1] * b[2] - a[2] * b[1],
  a[2] * b[0] - a[0] * b[2],
  a[0] * b[1] - a[1] * b[0],
];
const unit = (a: Vector): Vector => [
  a[0] / Math.hypot(...a),
  a[1] / Math.hypot(...a),
  a[2] / Math.hypot(...a),
];

/** Sun and Moon from a place at an instant of TT, on the true equator of date. */
function seen(ttMs: number, place: Place, deltaTS: number) {
  const jd = ttMs / 86_400_000 + 2_440_587.5;
  const { toDate, siderealDeg } = earthOrientation(jd);
  const local = (siderealDeg - (deltaTS * 360 * 1.0027378119113546) / 86_400 + place.lonDeg) * RAD;
  const lat = place.latDeg * RAD;
  const f = 1 / 298.257223563;
  const n = EARTH_RADIUS_KM / Math.sqrt(1 - f * (2 - f) * Math.sin(lat) ** 2);
  const h = place.heightM / 1000;
  const here: Vector = [
    (n + h) * Math.cos(lat) * Math.cos(local),
    (n + h) * Math.cos(lat) * Math.sin(local),
    (n * (1 - f) ** 2 + h) * Math.sin(lat),
  ];
  const sun = minus(toDate(apparentSun(jd)), here);
  const moon = minus(toDate(apparentMoon(jd)), here);
  const up: Vector = [Math.cos(lat) * Math.cos(local), Math.cos(lat) * Math.sin(local), Math.sin(lat)];
  const east: Vector = [-Math.sin(local), Math.cos(local), 0];
  return { sun, moon, up, east, north: cross(up, east) };
}

/** Angle between the centres, less the angle at which the limbs touch, arcseconds. */
function gap(ttMs: number, place: Place, deltaTS: number, inner: boolean): number {
  const { sun, moon } = seen(ttMs, place, deltaTS);
  const between = Math.atan2(Math.hypot(...cross(sun, moon)), dot(sun, moon));
  const k = inner ? CANON_SIZES.kUmbra : CANON_SIZES.kPenumbra;
  const s = Math.asin(SUN_RADIUS_KM / Math.hypot(...sun));
  const m = Math.asin((k * EARTH_RADIUS_KM) / Math.hypot(...moon));
  return ((between - (inner ? Math.abs(s - m) : s + m)) / RAD) * 3600;
}

const cases: [string, string, Place][] = [
  ["total, low Sun", "2026-08-12", { latDeg: 41.65, lonDeg: -0.9, heightM: 250 }],
  ["annular, high ground", "2023-10-14", { latDeg: 35.1, lonDeg: -106.6, heightM: 1600 }],
  ["total, southern winter", "2028-07-22", { latDeg: -33.87, lonDeg: 151.2, heightM: 30 }],
  ["partial, far north", "2021-06-10", { latDeg: 64.1, lonDeg: -21.9, heightM: 0 }],
];

describe.each(cases)("plain geometry: %s, %s", (_, id, place) => {
  const elements = eclipseById(id);
  if (!elements) throw new Error(id);
  const c = circumstances(elements, place);
  const tt = (at: UtcMs) => ttFromUtc(at);

  it("finds the limbs touching at every contact within 0.02 s", () => {
    for (const name of ["c1", "c2", "c3", "c4"] as ContactName[]) {
      const contact = c.contacts[name];
      if (!contact) continue;
      const inner = name === "c2" || name === "c3";
      const at = tt(contact.utcMs);
      const off = gap(at, place, c.deltaTS, inner);
      const rate = (gap(at + 5000, place, c.deltaTS, inner) - gap(at - 5000, place, c.deltaTS, inner)) / 10;
      // Before C1 and C2 the gap closes, after C3 and C4 it opens.
      expect(rate < 0).toBe(name === "c1" || name === "c2");
      expect(Math.abs(off / rate), name).toBeLessThan(0.02);
    }
  });

  it("has the Sun where the vectors point and the limbs touch at the stated angles", () => {
    for (const name of ["c1", "c2", "c3", "c4"] as ContactName[]) {
      const contact = c.contacts[name];
      if (!contact) continue;
      const { sun, moon, up, east, north } = seen(tt(contact.utcMs), place, c.deltaTS);
      const s = unit(sun);
      expect(Math.abs(Math.asin(dot(s, up)) / RAD - contact.altitudeDeg)).toBeLessThan(0.005);
      const azimuth = Math.atan2(dot(s, east), dot(s, north)) / RAD;
      expect(Math.abs(((azimuth - contact.azimuthDeg + 540) % 360) - 180)).toBeLessThan(0.01);
      // Toward the Moon's centre on the Sun's disc, from the pole and from the zenith; inside a
      // total eclipse the limbs touch on the far side.
      const toMoon = minus(unit(moon), s);
      const turned = c.kind === "total" && (name === "c2" || name === "c3") ? 180 : 0;
      for (const [from, stated] of [
        [[0, 0, 1] as Vector, contact.positionAngleDeg],
        [up, contact.positionAngleFromZenithDeg],
      ] as const) {
        const sideways = unit(cross(from, s));
        const upward = cross(s, sideways);
        const angle = Math.atan2(dot(toMoon, sideways), dot(toMoon, upward)) / RAD + turned;
        expect(Math.abs(((angle - stated + 900) % 360) - 180), name).toBeLessThan(0.1);
      }
    }
  });

  it("has its magnitude and ratio at maximum", () => {
    const max = c.contacts.max;
    if (!max) throw new Error("no maximum");
    const { sun, moon } = seen(tt(max.utcMs), place, c.deltaTS);
    const between = Math.atan2(Math.hypot(...cross(sun, moon)), dot(sun, moon));
    const s = Math.asin(SUN_RADIUS_KM / Math.hypot(...sun));
    const m = Math.asin((CANON_SIZES.kPenumbra * EARTH_RADIUS_KM) / Math.hypot(...moon));
    // (L1 − m)/(L1 + L2) mixes the canon's two radii of the Moon, 0.08 % apart.
    expect(Math.abs((s + m - between) / (2 * s) - c.magnitude)).toBeLessThan(0.0006);
    expect(Math.abs(m / s - c.ratio)).toBeLessThan(0.001);
  });
});
