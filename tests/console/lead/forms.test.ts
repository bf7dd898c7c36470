/** Reading what leads type. Ranges are those of the plan (shared/plan/model/plan.ts). */
import { describe, expect, it } from "vitest";
import { readNumber } from "../../../console/forms/read-number.ts";
import {
  EMPTY_RIG_FORM,
  nameProblem,
  newId,
  readRigForm,
  usualFor,
  withAcknowledgement,
  withoutRig,
  withRig,
} from "../../../console/lead/plan/rigs/rig-form.ts";
import {
  degreesText,
  EMPTY_SITE_FORM,
  placeProblem,
  readSite,
  readSkyline,
  siteForm,
  typedPlace,
} from "../../../console/lead/plan/site/site-form.ts";
import { readOffset } from "../../../console/lead/practise/read-offset.ts";
import { nextMarkMs, readTimeOfDay } from "../../../console/lead/set-up/clock/read-time-of-day.ts";
import { EMPTY_PLAN } from "../../../shared/plan/model/empty-plan.ts";
import { type RigDraft, RigDraftSchema, SiteSchema } from "../../../shared/plan/model/plan.ts";
import { RIG_KINDS } from "../../../shared/plan/model/vocabulary.ts";
import { parse } from "../../../shared/run/orders/commands.ts";

describe("numbers as people write them", () => {
  it("takes point and comma, any minus sign and a plus", () => {
    expect(["12.5", "12,5", "-3", "−3", "–3", "+4", ".5", " 7 "].map(readNumber)).toEqual([
      12.5, 12.5, -3, -3, -3, 4, 0.5, 7,
    ]);
  });

  it("refuses everything else", () => {
    for (const text of ["", "abc", "1e9", "1.2.3", "12°", "--3", "Infinity"])
      expect(readNumber(text)).toBeNull();
  });
});

describe("the site's fields", () => {
  const typed = {
    ...EMPTY_SITE_FORM,
    name: " Ochre Ridge ",
    lat: "25,5",
    lon: "-3.25",
    height: "",
    zone: "UTC",
  };

  it("become a site that the plan takes", () => {
    const read = readSite(typed);
    if (!read.ok) throw new Error(JSON.stringify(read.problems));
    expect(read.site).toMatchObject({ name: "Ochre Ridge", latDeg: 25.5, lonDeg: -3.25, heightM: 0 });
    expect(parse(SiteSchema, read.site).ok).toBe(true);
    expect(siteForm(read.site)).toMatchObject({ lat: "25.5", lon: "-3.25", name: "Ochre Ridge" });
  });

  it("name what stands between typed coordinates and a place", () => {
    expect(placeProblem({ ...typed, height: "12000" })).toEqual({
      key: "lead.site.wrong.height",
      values: { least: "−430", most: "9000", unit: "m" },
    });
    expect(placeProblem({ ...typed, lat: "95", height: "12000" })).toMatchObject({
      key: "lead.site.wrong.lat",
    });
    expect(placeProblem({ ...typed, name: "" })).toBeNull();
  });

  it("are named when they are wrong, all at once", () => {
    const read = readSite({
      ...typed,
      name: " ",
      lat: "91",
      lon: "x",
      height: "9001",
      placeBound: "-1",
      skyline: "1",
    });
    expect(read.ok ? [] : Object.keys(read.problems).sort()).toEqual([
      "height",
      "lat",
      "lon",
      "name",
      "placeBound",
      "skyline",
    ]);
  });

  it("give a place as soon as latitude and longitude can be read", () => {
    expect(typedPlace(EMPTY_SITE_FORM)).toBeNull();
    expect(typedPlace({ ...EMPTY_SITE_FORM, lat: "1", lon: "2" })).toEqual({
      latDeg: 1,
      lonDeg: 2,
      heightM: 0,
    });
    expect(typedPlace({ ...EMPTY_SITE_FORM, lat: "1", lon: "2", height: "tall" })).toBeNull();
  });

  it("take a skyline as pairs in any order, and refuse half a pair", () => {
    expect(readSkyline("150:6 90:4; 120:11,5")).toEqual([
      [90, 4],
      [120, 11.5],
      [150, 6],
    ]);
    expect(readSkyline("")).toEqual([]);
    for (const text of ["90", "90:4:1", "400:3", "90:-6", "90:x"]) expect(readSkyline(text)).toBeNull();
  });

  it("show degrees to a tenth of a metre", () => {
    expect([25.68722222222222, -3, 0.1000001].map(degreesText)).toEqual(["25.687222", "-3", "0.1"]);
  });
});

describe("a rig's name", () => {
  const rigs = [
    { id: "west", name: "West pier" },
    { id: "east", name: "East pier" },
  ];

  it("is wrong as soon as another rig has it, whatever the case and the spaces", () => {
    expect(nameProblem(" west  PIER", null, rigs)).toEqual({ name: { key: "lead.rig.wrong.nameTaken" } });
    expect(nameProblem("West pier", "east", rigs)).toEqual({ name: { key: "lead.rig.wrong.nameTaken" } });
  });

  it("is fine when it is the rig's own or nobody's", () => {
    expect(nameProblem("west pier", "west", rigs)).toEqual({});
    expect(nameProblem("West pier 2", null, rigs)).toEqual({});
  });
});

describe("a rig's fields", () => {
  it("become a rig that the plan takes, for every kind", () => {
    for (const kind of RIG_KINDS) {
      const read = readRigForm({
        ...EMPTY_RIG_FORM,
        name: "Kite",
        kind,
        ...usualFor(kind),
        focalLength: "400",
      });
      if (!read.ok) throw new Error(kind);
      expect(parse(RigDraftSchema, { id: "kite", ...read.fields }).ok).toBe(true);
    }
  });

  it("say what is wrong with name and focal length", () => {
    const read = readRigForm({ ...EMPTY_RIG_FORM, focalLength: "0" });
    expect(read.ok ? {} : read.problems).toEqual({
      name: { key: "lead.rig.wrong.name" },
      focalLength: {
        key: "lead.rig.wrong.focalLength",
        values: { least: "1", most: "20\u00a0000", unit: "mm" },
      },
    });
  });

  it("give ids that the plan takes, from any script, never one that is taken", () => {
    expect(newId("West pier", [], "rig")).toBe("west-pier");
    expect(newId("Ñandú ", [], "rig")).toBe("nandu");
    expect(newId("West pier", ["west-pier", "west-pier-2"], "rig")).toBe("west-pier-3");
    expect(newId("كاميرا", ["rig"], "rig")).toBe("rig-2");
    expect(newId("مكان", ["place"], "place")).toBe("place-2");
    expect(newId("Rigby", [], "place")).toBe("rigby");
    expect(newId("-".repeat(60), [], "rig")).toBe("rig");
    expect(newId("a".repeat(80), [], "rig")).toMatch(/^[a-z0-9][a-z0-9-]{0,39}$/);
  });
});

describe("changes of the plan", () => {
  const rig = { id: "kite", name: "Kite", kind: "video-camera", filter: "front" } as RigDraft;

  it("add a rig once and replace it where it stands", () => {
    const once = withRig(EMPTY_PLAN, rig);
    expect(once.rigs).toEqual([rig]);
    const renamed = withRig({ ...EMPTY_PLAN, rigs: once.rigs as never }, { ...rig, name: "Swift" });
    expect(renamed.rigs.map((one) => one.name)).toEqual(["Swift"]);
  });

  it("take a rig out with what was acknowledged for it", () => {
    const plan = withAcknowledgement(
      withAcknowledgement({ ...EMPTY_PLAN, rigs: [rig as never] }, "S4", "kite", "Ada"),
      "S4",
      "plover",
      "Ada",
    );
    expect(plan.acknowledged).toHaveLength(2);
    const without = withoutRig(plan, "kite");
    expect(without.rigs).toEqual([]);
    expect(without.acknowledged.map((one) => one.rigId)).toEqual(["plover"]);
  });

  it("keep one acknowledgement per rule and rig, the newest name", () => {
    const plan = withAcknowledgement(
      withAcknowledgement(EMPTY_PLAN, "S4", "kite", "Ada"),
      "S4",
      "kite",
      "Bao",
    );
    expect(plan.acknowledged).toEqual([{ rule: "S4", rigId: "kite", by: "Bao" }]);
  });
});

describe("the start of a practice run", () => {
  it("is read as minutes and seconds, or as seconds", () => {
    expect(["−3:00", "-180", "+0:45", "1:10:00", "-90 s", "0"].map(readOffset)).toEqual([
      -180, -180, 45, 4200, -90, 0,
    ]);
  });

  it("is refused when it cannot be meant", () => {
    for (const text of ["", "3:75", "1:2:3:4", "abc", "3.5"]) expect(readOffset(text)).toBeNull();
  });
});

describe("the mark of a watch", () => {
  it("is a time of day", () => {
    expect(readTimeOfDay("08:52:48")).toBe(((8 * 60 + 52) * 60 + 48) * 1000);
    expect(readTimeOfDay("8:52")).toBe((8 * 60 + 52) * 60_000);
    expect(readTimeOfDay("085248,5")).toBe(((8 * 60 + 52) * 60 + 48.5) * 1000);
    for (const text of ["24:00", "8:60", "8", "x"]) expect(readTimeOfDay(text)).toBeNull();
  });

  it("means the instant nearest to now, across midnight too", () => {
    const midnight = Date.UTC(2027, 7, 2);
    expect(nextMarkMs(5000, midnight - 10_000)).toBe(midnight + 5000);
    expect(nextMarkMs(86_390_000, midnight + 5000)).toBe(midnight - 10_000);
    expect(nextMarkMs(36_000_000, midnight + 36_100_000)).toBe(midnight + 36_000_000);
  });
});
