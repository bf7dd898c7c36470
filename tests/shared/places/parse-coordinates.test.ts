/**
 * Written forms of coordinates, against what standards and an independent library make of them.
 */
import fc from "fast-check";
import { convert } from "geo-coordinates-parser";
import { describe, expect, test } from "vitest";
import { parseCoordinates } from "../../../shared/places/parse-coordinates.ts";
import { formatCoordinates } from "../../support/format-coordinates.ts";
import { words } from "../plan/sites-and-rigs.ts";

function place(text: string) {
  const parsed = parseCoordinates(text);
  if ("refusal" in parsed) throw new Error(`${text}: ${parsed.refusal.message}`);
  return parsed.place;
}

describe("published forms", () => {
  test.each([
    // RFC 5870 section 6: examples of geo URIs.
    ["geo:13.4125,103.8667", 13.4125, 103.8667, undefined],
    ["geo:48.2010,16.3695,183", 48.201, 16.3695, 183],
    ["geo:48.198634,16.371648;crs=wgs84;u=40", 48.198634, 16.371648, undefined],
    // ISO 6709 strings as the W3C's geo wiki page quotes them (second-hand).
    ["+40.75-074.00/", 40.75, -74, undefined],
    ["-90+000+2800/", -90, 0, 2800],
    ["+27.5916+086.5640+8850CRSWGS_84/", 27.5916, 86.564, 8850],
    // ISO 6709 Annex D and H, the same point in both (second-hand).
    ["50°40′46.461″N 95°48′26.533″W", 50.679573, -95.80737, undefined],
    ["+50.679573-095.807370/", 50.679573, -95.80737, undefined],
    // ISO 6709 with minutes, and with seconds: 12°34.5′, 12°34′30″ by arithmetic.
    ["+1234.5-09815.0/", 12.575, -98.25, undefined],
    ["+123430-0981500/", 12.575, -98.25, undefined],
  ])("%s is read as the standard says", (text, latDeg, lonDeg, heightM) => {
    const read = place(text);
    expect(read.latDeg).toBeCloseTo(latDeg, 6);
    expect(read.lonDeg).toBeCloseTo(lonDeg, 6);
    expect(read.heightM).toBe(heightM);
  });
});

/** One invented place in the forms people paste: 40° 25′ 00.5″ N, 3° 42′ 14.9″ W. */
const LAT = 40 + 25 / 60 + 0.5 / 3600;
const LON = -(3 + 42 / 60 + 14.9 / 3600);

describe("pasted forms", () => {
  test.each([
    `40°25'0.5"N 3°42'14.9"W`,
    "40° 25′ 0.5″ N, 3° 42′ 14.9″ W",
    "40º 25’ 0,5” N 3º 42’ 14,9” O",
    "40°25´0,5´´N; 3°42´14,9´´O",
    "N 40 25 0.5 W 3 42 14.9",
    "N40°25'0.5\", W3°42'14.9\"",
    "40 25 0.5 N 3 42 14.9 W",
    "40:25:0.5 N, 3:42:14.9 W",
    "40:25:00.5, -3:42:14.9",
    "40 25 0.5 -3 42 14.9",
    "40d25m0.5s -3d42m14.9s",
    "40d25m0.5sN 3d42m14.9sW",
    "40 deg 25 min 0.5 sec North, 3 deg 42 min 14.9 sec West",
    "40 grados 25 minutos 0,5 segundos Norte 3 grados 42 minutos 14,9 segundos Oeste",
    "40 degrés 25 minutes 0,5 secondes Nord, 3 degrés 42 minutes 14,9 secondes Ouest",
    "3°42′14.9″W 40°25′0.5″N",
    "402500.5N 0034214.9W",
    "40° 25′ 0.5″\n−3° 42′ 14.9″",
    "٤٠° ٢٥′ ٠٫٥″ شمالاً، ٣° ٤٢′ ١٤٫٩″ غرباً",
  ])("%s is one and the same place", (text) => {
    const read = place(text);
    expect(read.latDeg).toBeCloseTo(LAT, 9);
    expect(read.lonDeg).toBeCloseTo(LON, 9);
  });

  test.each([
    "40.4168, -3.7038",
    "40.4168,-3.7038",
    "40.4168 -3.7038",
    "40,4168 -3,7038",
    "40,4168, -3,7038",
    "40,4168; -3,7038",
    "40,4168,-3,7038",
    "40,4168 N 3,7038 O",
    "40.4168° N, 3.7038° W",
    "N40.4168 W3.7038",
    "O 3.7038 N 40.4168",
    "lat: 40.4168 lon: -3.7038",
    "Longitude: -3.7038, Latitude: 40.4168",
    "(40.4168, -3.7038)",
    "40.4168 / -3.7038",
    "40 25.008 N 3 42.228 W",
    "40° 25.008', -3° 42.228'",
  ])("%s too", (text) => {
    const read = place(text);
    expect(read.latDeg).toBeCloseTo(40.4168, 9);
    expect(read.lonDeg).toBeCloseTo(-3.7038, 9);
    expect(read).not.toHaveProperty("heightM");
  });

  test.each([
    ["40.4168, -3.7038, 650 m", 650],
    ["40.4168° N, 3.7038° W, 650m", 650],
    ["40.4168 N 3.7038 W alt 650", 650],
    ["40.4168, -3.7038, 650", 650],
    ["40.4168, -3.7038, -12 m", -12],
    ["40,4168 N 3,7038 O 650,5 m", 650.5],
    ["40.4168, -3.7038, 1000 ft", 304.8],
  ])("%s has a height of %d m", (text, heightM) => {
    const read = place(text);
    expect(read.heightM).toBeCloseTo(heightM, 9);
    expect(read.latDeg).toBeCloseTo(40.4168, 9);
  });

  test("a minus on zero degrees is south and west", () => {
    expect(place("-0° 15′ 30″, -0° 30′ 0″")).toEqual({ latDeg: -(15.5 / 60), lonDeg: -0.5 });
    expect(place("-0.25, 10.5")).toEqual({ latDeg: -0.25, lonDeg: 10.5 });
  });

  test("whole degrees are degrees, and 24.56S is a decimal", () => {
    expect(place("40, -3")).toEqual({ latDeg: 40, lonDeg: -3 });
    expect(place("24.56S 26.48E")).toEqual({ latDeg: -24.56, lonDeg: 26.48 });
    expect(place("0, 0")).toEqual({ latDeg: 0, lonDeg: 0 });
    expect(place("90 N 180 W")).toEqual({ latDeg: 90, lonDeg: -180 });
  });
});

describe("what cannot be read, or can be read in two ways, is refused by field", () => {
  test.each([
    ["", "empty", "coordinates"],
    ["  ", "empty", "coordinates"],
    ["the field behind the school", "not-coordinates", "coordinates"],
    ["1 2 3", "not-coordinates", "coordinates"],
    ["40.1, -3.2, 40.3, -3.4", "not-coordinates", "coordinates"],
    ["N".repeat(300), "not-coordinates", "coordinates"],
    ["30T 440288 4474257", "not-coordinates", "coordinates"],
    ["40,3", "ambiguous", "coordinates"],
    ["40.4168", "missing", "lonDeg"],
    ["3.7 W", "missing", "latDeg"],
    ["40.4 N, 3.7", "ambiguous", "lonDeg"],
    ["-40.4 S, 3.7 E", "ambiguous", "latDeg"],
    ["40.4 N, -3.7 W", "ambiguous", "lonDeg"],
    ["41.5 N 41.6 N", "ambiguous", "latDeg"],
    ["40.5 25 N 3 W", "ambiguous", "latDeg"],
    ["90.1, 10", "out-of-range", "latDeg"],
    ["95.2, 10.1", "out-of-range", "latDeg"],
    ["40, 180.5", "out-of-range", "lonDeg"],
    ["200 E 40 N", "out-of-range", "lonDeg"],
    ["40°61′00″ N 3°00′00″ W", "out-of-range", "latDeg"],
    ["40°01′60″ N 3°00′00″ W", "out-of-range", "latDeg"],
    ["12 34 56 78", "out-of-range", "lonDeg"],
    ["40.4168, -3.7038, 12000 m", "out-of-range", "heightM"],
  ])("%j: %s %s", (text, code, field) => {
    expect(parseCoordinates(text)).toMatchObject({ refusal: { code, field } });
    expect(words).toHaveProperty([`coordinates.${code}`]);
  });

  test("and no text makes it throw", () => {
    fc.assert(
      fc.property(fc.oneof(fc.string(), fc.stringMatching(/^[0-9NSEWO°'",;:. +-]{0,30}$/)), (text) => {
        const read = parseCoordinates(text);
        if ("refusal" in read) return;
        expect(Math.abs(read.place.latDeg)).toBeLessThanOrEqual(90);
        expect(Math.abs(read.place.lonDeg)).toBeLessThanOrEqual(180);
      }),
      { numRuns: 3000 },
    );
  });
});

const anyPlace = fc.record({
  latDeg: fc.integer({ min: -9_000_000, max: 9_000_000 }).map((n) => n / 100_000),
  lonDeg: fc.integer({ min: -18_000_000, max: 18_000_000 }).map((n) => n / 100_000),
});

describe("written and read back", () => {
  test("decimals come back within half their last digit, degrees-minutes-seconds within 0.05″", () => {
    fc.assert(
      fc.property(anyPlace, ({ latDeg, lonDeg }) => {
        for (const [style, withinDeg] of [
          ["decimal", 0.5e-5 + 1e-9],
          ["dms", 0.05 / 3600 + 1e-9],
        ] as const) {
          const { lat, lon } = formatCoordinates(latDeg, lonDeg, style);
          const read = place(`${lat}, ${lon}`);
          expect(Math.abs(read.latDeg - latDeg)).toBeLessThanOrEqual(withinDeg);
          expect(Math.abs(read.lonDeg - lonDeg)).toBeLessThanOrEqual(withinDeg);
        }
      }),
      { numRuns: 1000 },
    );
  });

  test("an independent parser reads degrees-minutes-seconds as we do (geo-coordinates-parser 1.7.4)", () => {
    fc.assert(
      fc.property(anyPlace, ({ latDeg, lonDeg }) => {
        // It refuses the poles themselves.
        fc.pre(Math.abs(latDeg) < 89.9 && Math.abs(lonDeg) < 179.9);
        const { lat, lon } = formatCoordinates(latDeg, lonDeg, "dms");
        const theirs = convert(`${lat} ${lon}`, 8);
        const ours = place(`${lat} ${lon}`);
        expect(ours.latDeg).toBeCloseTo(theirs.decimalLatitude, 7);
        expect(ours.lonDeg).toBeCloseTo(theirs.decimalLongitude, 7);
      }),
      { numRuns: 500 },
    );
  });

  test("seconds carry over into minutes and degrees", () => {
    expect(formatCoordinates(39.999999, -0.999999, "dms")).toEqual({
      lat: "40° 00′ 00.0″ N",
      lon: "1° 00′ 00.0″ W",
    });
    expect(formatCoordinates(40.4168, -3.7038)).toEqual({ lat: "40.41680° N", lon: "3.70380° W" });
  });

  test("out of range is a bug of the caller", () => {
    expect(() => formatCoordinates(90.1, 0)).toThrow(/latDeg/);
    expect(() => formatCoordinates(0, Number.NaN)).toThrow(/lonDeg/);
  });
});
