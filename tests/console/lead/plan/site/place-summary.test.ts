/**
 * What the site screen says of a place. Kinds and durations are checked on published rows:
 * NASA's local circumstances in tests/fixtures/eclipse/published-local-circumstances.json are
 * the solver's test; here the same solver's answers are only put into sentences, so the sources
 * are the safety rules (S2: never without filters at a partial or annular site).
 */
import { describe, expect, it } from "vitest";
import {
  boundText,
  directionOf,
  percentText,
  placeSummary,
  shiftText,
  spanText,
} from "../../../../../console/lead/plan/site/place-summary.ts";
import { circumstances } from "../../../../../shared/eclipse/circumstances.ts";
import type { Circumstances } from "../../../../../shared/eclipse/circumstances-types.ts";
import { eclipseById } from "../../../../../shared/eclipse/table.ts";

function at(eclipse: string, latDeg: number, lonDeg: number): Circumstances {
  const elements = eclipseById(eclipse);
  if (!elements) throw new Error(`no eclipse ${eclipse}`);
  return circumstances(elements, { latDeg, lonDeg, heightM: 0 });
}

describe("what a place gets, in sentences", () => {
  it("says total with its length near Luxor on 2027-08-02", () => {
    const summary = placeSummary(at("2027-08-02", 25.687, 32.639));
    expect(summary.headline.key).toBe("lead.place.total");
    expect(summary.filters.key).toBe("lead.place.filters.total");
    expect(summary.contacts.map((line) => line.name)).toEqual(["c1", "c2", "max", "c3", "c4"]);
  });

  it("says that filters stay on wherever it is not total", () => {
    const partial = placeSummary(at("2027-08-02", 48.85, 2.35));
    expect([partial.headline.key, partial.filters.key]).toEqual([
      "lead.place.partial",
      "lead.place.filters.partial",
    ]);
    const ring = placeSummary(at("2027-02-06", -38.0, -57.55));
    expect(ring.gets.kind).toBe("annular");
    expect(ring.filters.key).toBe("lead.place.filters.annular");
  });

  it("says plainly when there is nothing, and when it is below the horizon", () => {
    expect(placeSummary(at("2027-08-02", -40, 175)).gets.kind).toBe("none");
    const far = at("2027-08-02", 25.687, 32.639);
    expect(placeSummary({ ...far, visible: false }).headline.key).toBe("lead.place.below");
    expect(placeSummary({ ...far, kind: "none" }).headline.key).toBe("lead.place.none");
  });

  it("treats a totality that cannot be seen to both ends as partial, and says why", () => {
    const seen = at("2027-08-02", 25.687, 32.639);
    const { c3 } = seen.contacts;
    if (!c3) throw new Error("total here");
    const setting = { ...seen, contacts: { ...seen.contacts, c3: { ...c3, aboveHorizon: false } } };
    const summary = placeSummary(setting);
    expect(summary.headline.key).toBe("lead.place.cutHorizon");
    expect(summary.filters.key).toBe("lead.place.filters.partial");
  });

  it("puts the limb's shift into the times and names it", () => {
    const smooth = at("2027-08-02", 25.687, 32.639);
    const summary = placeSummary({ ...smooth, limb: { c2ShiftS: -0.7, c3ShiftS: -3.6 } });
    const c3 = summary.contacts.find((line) => line.name === "c3");
    expect(c3?.limbShiftS).toBe(-3.6);
    expect(c3?.utcMs).toBeCloseTo((smooth.contacts.c3?.utcMs ?? 0) - 3600, 3);
    expect(summary.contacts.find((line) => line.name === "c1")?.limbShiftS).toBeNull();
  });

  it("names the Sun that the times as seen are for, and what it does to totality or ring", () => {
    const limb = { c2ShiftS: 0.7, c3ShiftS: -0.6 };
    const total = at("2027-08-02", 25.687, 32.639);
    // Both radii with their sources: shared/eclipse/elements.ts.
    const values = { seen: "959.95″", canon: "959.63″" };
    expect(placeSummary({ ...total, limb }).sun).toEqual({ key: "lead.place.sunTotal", values });
    const ring = at("2027-02-06", -38.0, -57.55);
    expect(placeSummary({ ...ring, limb }).sun).toEqual({ key: "lead.place.sunRing", values });
    expect(placeSummary(total).sun).toBeNull();
  });

  it("lists the shares of the bound, largest first, without those that do not matter", () => {
    const summary = placeSummary({
      ...at("2027-08-02", 25.687, 32.639),
      timingShares: [
        { cause: "height", s: 0.001 },
        { cause: "deltaT", s: 0.2 },
        { cause: "limb", s: 3 },
      ],
    });
    expect(summary.shares.map((share) => share.cause)).toEqual(["limb", "deltaT"]);
  });
});

describe("figures of the site screen", () => {
  it("never says 100 % of a Sun that is not wholly covered, nor 0 % of one that is touched", () => {
    expect([0.9999, 1, 0.0001, 0, 0.872, 0.005].map(percentText)).toEqual([
      "99.9",
      "100.0",
      "0.1",
      "0.0",
      "87",
      "0.5",
    ]);
  });

  it("rounds bounds up, so that what is said is never too small", () => {
    expect([0.02, 0.72, 1, 1.01, 9.95, 12.1, 190].map(boundText)).toEqual([
      "0.1 s",
      "0.8 s",
      "1 s",
      "1.1 s",
      "10 s",
      "13 s",
      "4 min",
    ]);
  });

  it("writes lengths, shifts and directions as people read them", () => {
    expect([38.44, 59.96, 251.3, 381.7].map(spanText)).toEqual([
      "38.4 s",
      "60.0 s",
      "4 min 11 s",
      "6 min 22 s",
    ]);
    expect([-0.7, 1.12, 0.04, -0.04].map(shiftText)).toEqual(["−0.7 s", "+1.1 s", "±0.0 s", "±0.0 s"]);
    expect([0, 22.6, 90, 200, 337.4, 337.6, 359].map(directionOf)).toEqual([0, 1, 2, 4, 7, 0, 0]);
  });
});
