/** S5: further from the plan's place than its bound and 1 km is doubt. */
import { describe, expect, it } from "vitest";
import {
  FIX_COUNTS_MS,
  type Fix,
  fixCounts,
  isElsewhere,
  metresAway,
} from "../../../../console/rig/place/elsewhere.ts";
import { kmText } from "../../../../console/rig/place/km-text.ts";
import { utcMs } from "../../../../shared/time/instants.ts";
import { SiteWorld } from "../../../shared/run/site-world.ts";
import { S, sceneOf } from "../rig-world.ts";

const NOW = utcMs(Date.UTC(2027, 7, 2, 9));
const SITE = { latDeg: 25.5, lonDeg: 32.6, placeBoundM: 50 };
/**
 * Metres in a degree at 25.5° N on WGS84, by hand from the series of the ellipsoid's radii:
 * of the meridian 111 132.954 − 559.822 cos 2φ + 1.175 cos 4φ = 110 780.4, of the parallel
 * 111 412.84 cos φ − 93.5 cos 3φ + 0.118 cos 5φ = 100 537.7.
 */
const NORTH_M = 110_780.4;
const EAST_M = 100_537.7;

const fix = (northM: number, eastM = 0, rest: Partial<Fix> = {}): Fix => ({
  latDeg: SITE.latDeg + northM / NORTH_M,
  lonDeg: SITE.lonDeg + eastM / EAST_M,
  boundM: 20,
  atUtcMs: NOW,
  ...rest,
});
const elsewhere = (one: Fix, site = SITE) => isElsewhere(one, site, null, NOW);

describe("metres from the place", () => {
  it("are those of the ellipsoid, north and east", () => {
    expect(metresAway(fix(12_000), SITE, null)).toBeCloseTo(12_000, -1);
    expect(metresAway(fix(0, 12_000), SITE, null)).toBeCloseTo(12_000, -1);
    expect(metresAway(fix(-3000, 4000), SITE, null)).toBeCloseTo(5000, -1);
  });
});

describe("a phone is elsewhere", () => {
  it("from 1 km on, however well both places are known", () => {
    expect(elsewhere(fix(0))).toBe(false);
    expect(elsewhere(fix(990))).toBe(false);
    expect(elsewhere(fix(1010))).toBe(true);
    expect(elsewhere(fix(0, -1010))).toBe(true);
    expect(elsewhere(fix(12_000))).toBe(true);
  });

  it("only beyond what fix and plan leave open together", () => {
    expect(elsewhere(fix(3990, 0, { boundM: 3950 }))).toBe(false);
    expect(elsewhere(fix(4010, 0, { boundM: 3950 }))).toBe(true);
    const wide = { ...SITE, placeBoundM: 15_000 };
    expect(elsewhere(fix(15_010), wide)).toBe(false);
    expect(elsewhere(fix(15_030), wide)).toBe(true);
  });

  it("not by a fix that is known no better than a mast's reach, or says no bound at all", () => {
    expect(elsewhere(fix(12_000, 0, { boundM: 5000 }))).toBe(true);
    for (const boundM of [5001, Number.POSITIVE_INFINITY, Number.NaN])
      expect(elsewhere(fix(900_000, 0, { boundM })), String(boundM)).toBe(false);
  });

  it("for three hours by one fix, either way, since the clock may have been set meanwhile", () => {
    for (const aside of [-FIX_COUNTS_MS, 0, FIX_COUNTS_MS])
      expect(elsewhere(fix(12_000, 0, { atUtcMs: utcMs(NOW + aside) }))).toBe(true);
    for (const aside of [-FIX_COUNTS_MS - 1, FIX_COUNTS_MS + 1]) {
      const one = fix(12_000, 0, { atUtcMs: utcMs(NOW + aside) });
      expect(fixCounts(one, NOW)).toBe(false);
      expect(elsewhere(one)).toBe(false);
    }
  });

  it("from its own place, where that stands, and no more from the plan's", () => {
    const { latDeg, lonDeg } = fix(12_000);
    const own = { latDeg, lonDeg, boundM: 30 };
    expect(isElsewhere(fix(12_000), SITE, own, NOW)).toBe(false);
    expect(isElsewhere(fix(0), SITE, own, NOW)).toBe(true);
    // A place that the phone found by masts only, and one that an earlier program kept.
    expect(isElsewhere(fix(10_000), SITE, { ...own, boundM: 3000 }, NOW)).toBe(false);
    expect(isElsewhere(fix(10_000), SITE, { latDeg, lonDeg }, NOW)).toBe(true);
  });
});

describe("on the page of a phone that is elsewhere", () => {
  const world = SiteWorld.planned({ site: { ...SITE, name: "Palm Field", heightM: 80, confirmed: true } });
  const { c2 } = sceneOf(world, NOW).gets.contacts;
  if (c2 === null) throw new Error("no totality");
  world.report("west", { filter: "on", looked: true }, { at: c2 - 600 * S });
  const filterOff = (now: number, elsewhere: boolean) => {
    const scene = sceneOf(world, now, ["west"], { elsewhere });
    const line = scene.picture.lines.find(({ cue }) => cue.action === "filter-off");
    return { mode: line?.mode, reasons: scene.view.doubt.reasons };
  };

  it("S5: the filter comes off by eye only, and the reason is said", () => {
    const near = c2 - 25 * S;
    expect(filterOff(near, false)).toEqual({ mode: "plain", reasons: [] });
    expect(filterOff(near, true)).toEqual({ mode: "by-eye", reasons: ["elsewhere"] });
  });

  it("a practice goes on plainly: most are held at home, and it hangs on the hub's own clock", () => {
    const start = c2 - 60 * 86_400 * S;
    const practice = SiteWorld.planned({
      site: { ...SITE, name: "Palm Field", heightM: 80, confirmed: true },
    });
    practice.practise(start, -60);
    practice.report("west", { filter: "on", looked: true }, { at: start + 1 });
    const modes = (elsewhere: boolean) => {
      const scene = sceneOf(practice, start + 30 * S, ["west"], { elsewhere });
      expect(scene.practice).not.toBeNull();
      expect(scene.view.doubt.reasons).toEqual([]);
      return scene.picture.lines.map(({ key, mode }) => [key, mode]);
    };
    expect(modes(true)).toEqual(modes(false));
  });
});

it("kilometres are said with tenths below ten, whole above", () => {
  expect([1010, 9940, 9960, 12_345, 2_300_400].map(kmText)).toEqual(["1.0", "9.9", "10", "12", "2300"]);
});
