/** A phone that is given a new place without the hub works out the whole day from it. */
import { describe, expect, it } from "vitest";
import { type OwnPlace, ownPlaceHolds, withOwnPlace } from "../../../../console/rig/place/own-place.ts";
import { circumstances } from "../../../../shared/eclipse/circumstances.ts";
import { eclipseById } from "../../../../shared/eclipse/table.ts";
import { localEclipse } from "../../../../shared/plan/local-eclipse.ts";
import { doubtAt } from "../../../../shared/run/doubt.ts";
import { currentRun } from "../../../../shared/run/run-time.ts";
import { utcMs } from "../../../../shared/time/instants.ts";
import { draft, NORTH_SHORE, PALM_FIELD, SiteWorld } from "../../../shared/run/site-world.ts";

const at = utcMs(Date.UTC(2027, 7, 2, 6));

function own(place: { latDeg: number; lonDeg: number; heightM: number }): OwnPlace {
  const elements = eclipseById("2027-08-02");
  if (!elements) throw new Error("no elements");
  return {
    eclipse: "2027-08-02",
    ...place,
    atUtcMs: at,
    lead: { latDeg: PALM_FIELD.latDeg, lonDeg: PALM_FIELD.lonDeg, heightM: PALM_FIELD.heightM },
    planRevision: 1,
    endedUtcMs: null,
    circumstances: circumstances(elements, place, { placeBoundM: 100 }),
  };
}

const AWAY = { latDeg: 25.9, lonDeg: 32.1, heightM: 80 };

describe("the phone's own place", () => {
  it("moves the contacts, and S5: for a minute filters come off by eye only", () => {
    const world = SiteWorld.planned();
    const moved = withOwnPlace(world.state, own(AWAY), at);
    const before = localEclipse(world.state.circumstances).contacts.c2;
    const after = localEclipse(moved.circumstances).contacts.c2;
    if (before === null || after === null) throw new Error("no totality");
    // The shadow crosses here at about 0.7 km/s, west to east: some 70 km are some 100 s.
    expect(before - after).toBeGreaterThan(20_000);
    expect(before - after).toBeLessThan(200_000);
    const health = { boundMs: 2, hubBoundMs: 10, disputed: false, slept: false };
    const soon = utcMs(at + 30_000);
    const later = utcMs(at + 61_000);
    expect(doubtAt(moved, currentRun(moved, soon), health, soon).reasons).toContain("place changed");
    expect(doubtAt(moved, currentRun(moved, later), health, later).reasons).toEqual([]);
  });

  it("S2: at a place outside the path no filter-off cue is left", () => {
    const world = SiteWorld.planned();
    const moved = withOwnPlace(world.state, own(NORTH_SHORE), at);
    expect(localEclipse(moved.circumstances).kind).toBe("partial");
    expect(localEclipse(moved.circumstances).contacts.c2).toBeNull();
  });

  it("stands when the lead saves a plan whose site and eclipse are the same", () => {
    const world = SiteWorld.planned();
    world.order({ type: "savePlan", draft: draft({ group: "again" }), ifRevision: 1 }, at);
    expect(world.state.plan.revision).toBe(2);
    expect(ownPlaceHolds(own(AWAY), world.state)).toBe(true);
  });

  it("ends when the lead moves the site or chooses another eclipse", () => {
    const world = SiteWorld.planned();
    expect(ownPlaceHolds(own(AWAY), world.state)).toBe(true);
    expect(ownPlaceHolds({ ...own(AWAY), eclipse: "2028-07-22" }, world.state)).toBe(false);
    world.order({ type: "savePlan", draft: draft({ site: NORTH_SHORE }), ifRevision: 1 }, at);
    expect(ownPlaceHolds(own(AWAY), world.state)).toBe(false);
  });

  // Another tab that slept, or a page killed before it had saved the newest plan.
  it("is not ended by a page that holds an older plan than the one it departs from", () => {
    const world = SiteWorld.planned();
    const lead = { latDeg: NORTH_SHORE.latDeg, lonDeg: NORTH_SHORE.lonDeg, heightM: NORTH_SHORE.heightM };
    const later = { ...own(AWAY), lead, planRevision: 2 };
    expect(ownPlaceHolds(later, world.state)).toBe(true);
    world.order({ type: "savePlan", draft: draft({ site: NORTH_SHORE }), ifRevision: 1 }, at);
    expect(ownPlaceHolds(later, world.state)).toBe(true);
    expect(ownPlaceHolds({ ...later, lead: own(AWAY).lead }, world.state)).toBe(false);
  });

  it("S5: for a minute after its end filters come off by eye only: the lead's contacts have come back", () => {
    const world = SiteWorld.planned();
    const health = { boundMs: 2, hubBoundMs: 10, disputed: false, slept: false };
    const ended = utcMs(at + 600_000);
    const doubt = (place: OwnPlace, now: number) => {
      const state = withOwnPlace(world.state, place, utcMs(now));
      expect(state.circumstances).toBe(world.state.circumstances);
      return doubtAt(state, currentRun(state, utcMs(now)), health, utcMs(now)).reasons;
    };
    const byHand = { ...own(AWAY), endedUtcMs: ended };
    expect(doubt(byHand, ended)).toEqual(["place changed"]);
    expect(doubt(byHand, ended + 59_000)).toEqual(["place changed"]);
    expect(doubt(byHand, ended + 61_000)).toEqual([]);
    // By the lead: from the very first instant in which the phone hears of it, not from the second.
    const elsewhere = { ...own(AWAY), lead: { latDeg: 20, lonDeg: 30, heightM: 0 } };
    expect(doubt(elsewhere, ended)).toEqual(["place changed"]);
  });
});
