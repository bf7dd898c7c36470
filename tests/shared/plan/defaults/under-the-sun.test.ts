/**
 * Sunrise and sunset in eclipse. Where the Sun is, is asked of its low-precision place (Meeus
 * ch. 25; sun.ts, itself tested against astronomy-engine), not of the field that the lists are made
 * from. Which cues need the Sun: common practice, no source.
 */
import fc from "fast-check";
import * as v from "valibot";
import { describe, expect, test } from "vitest";
import { circumstances } from "../../../../shared/eclipse/circumstances.ts";
import { sunAt } from "../../../../shared/eclipse/sun.ts";
import { eclipseById } from "../../../../shared/eclipse/table.ts";
import { cueDueMs, cueOccurrencesMs } from "../../../../shared/plan/cue-times.ts";
import { defaultCues } from "../../../../shared/plan/defaults/default-cues.ts";
import { type LocalEclipse, localEclipse } from "../../../../shared/plan/local-eclipse.ts";
import { type Cue, CueSchema } from "../../../../shared/plan/model/cue.ts";
import type { Rig } from "../../../../shared/plan/model/plan.ts";
import { RIG_KINDS } from "../../../../shared/plan/model/vocabulary.ts";
import { checkPlan, openFindings } from "../../../../shared/plan/safety/check-plan.ts";
import { utcMs } from "../../../../shared/time/instants.ts";
import { handsConflicts } from "../../../support/hands-conflicts.ts";
import { planOf, rigOf, totalSite, words } from "../sites-and-rigs.ts";

/** Latitude, longitude (−180…180, east positive). */
type Spot = readonly [number, number];

function getsAt(eclipse: string, [latDeg, lonDeg]: Spot): LocalEclipse {
  const elements = eclipseById(eclipse);
  if (!elements) throw new Error(`the table lacks ${eclipse}`);
  return localEclipse(circumstances(elements, { latDeg, lonDeg, heightM: 0 }));
}
const sunUp = (ms: number, [latDeg, lonDeg]: Spot): number =>
  sunAt(utcMs(ms), { latDeg, lonDeg, heightM: 0 }).altitudeDeg + 0.8333;

const RIGS: Rig[] = [
  ...RIG_KINDS.map((kind) => rigOf(kind)),
  rigOf("wide-camera", { filter: "front" }),
  rigOf("video-camera", { filter: "none by design", focalLengthMm: 35 }),
  rigOf("tripod-camera", { lookedThrough: true, focalLengthMm: 50 }),
  rigOf("visual-telescope", { publicQueue: true }),
  rigOf("tracked-telescope", { unattended: true }),
];

/** What cannot be done without the Sun; the rest needs none: tape, checks, caps, glasses, eyes. */
const NEED_THE_SUN = new Set<Cue["action"]>([
  "align",
  "focus",
  "recentre",
  "exposure",
  "burst",
  "record",
  "filter-off",
  "filter-check",
  "hands-off",
  "look-up",
  "guard",
]);
/** A screen and a menu are set without it; a landscape is framed, and its frames begun, in the dusk. */
const NOT_THESE = new Set(["screen-up", "recentre-off", "start-frames"]);
const needsSun = (cue: Cue) => NEED_THE_SUN.has(cue.action) && !NOT_THESE.has(cue.id);
/** Words that can only be said with the Sun there. */
const OF_THE_SUN = /^Focus|[Ee]xpos|Burst|Look up|Re-centre|First bite|Maximum\. E|Ring/;

/** The central line from sunrise to sunset, and what lies about it, by eclipse: rough boxes. */
const AROUND = {
  "2027-08-02": [
    [-20, 40],
    [-55, 100],
  ],
  "2028-07-22": [
    [-55, -5],
    [65, 180],
  ],
  "2028-01-26": [
    [-20, 55],
    [-120, 15],
  ],
  "2031-11-14": [
    [-15, 40],
    [-180, -65],
  ],
  "2030-11-25": [
    [-55, -5],
    [-15, 160],
  ],
} as const satisfies Record<string, readonly [Spot, Spot]>;

/** Places at the two ends of the central lines, where the Sun rises or sets in totality or ring. */
const ENDS: readonly (readonly [string, number, number])[] = [
  ["2027-08-02", 28.2, -43.7],
  ["2027-08-02", 28.97, -41.33],
  ["2027-08-02", -12.25, 89.71],
  ["2028-07-22", -18.17, 76.2],
  ["2028-07-22", -49.85, 178.93],
  ["2028-01-26", 2.27, -104.28],
  ["2028-01-26", 39.94, 0.4],
  ["2031-11-14", 25.28, 165.76],
  ["2031-11-14", 7.91, -80.21],
  ["2030-11-25", -16.47, 2.25],
  ["2030-11-25", -26.62, 150.45],
];
const anyEnd = fc
  .record({
    end: fc.constantFrom(...ENDS),
    north: fc.double({ min: -1.2, max: 1.2, noNaN: true }),
    east: fc.double({ min: -2, max: 2, noNaN: true }),
  })
  .map(({ end: [id, lat, lon], north, east }) => ({ id, spot: [lat + north, lon + east] as Spot }));
const anywhere = fc.constantFrom(...Object.keys(AROUND)).chain((id) => {
  const [[south, north], [west, east]] = AROUND[id as keyof typeof AROUND];
  return fc
    .tuple(
      fc.double({ min: south, max: north, noNaN: true }),
      fc.double({ min: west, max: east, noNaN: true }),
    )
    .map((spot) => ({ id, spot: spot as Spot }));
});
const anySpot = fc.oneof(anyEnd, anywhere);
const anyRig = fc.constantFrom(...RIGS);
const runs = (numRuns: number) => ({ seed: 20301125, numRuns });

describe("default cues under a Sun that rises or sets", () => {
  test("never ask for the Sun while it is down, nor speak of it", () => {
    const met = { rise: 0, set: 0, total: 0, annular: 0, partial: 0, none: 0 };
    fc.assert(
      fc.property(anySpot, anyRig, ({ id, spot }, rig) => {
        const gets = getsAt(id, spot);
        met[gets.kind]++;
        if (gets.sunUp?.fromUtcMs) met.rise++;
        if (gets.sunUp?.untilUtcMs) met.set++;
        for (const cue of defaultCues(rig, gets)) {
          const said = words[cue.key ?? ""] ?? "";
          if (!needsSun(cue) && !OF_THE_SUN.test(said)) continue;
          // A hundredth of a degree is some three seconds of the Sun's path.
          for (const ms of cueOccurrencesMs(cue, gets.contacts))
            expect(sunUp(ms, spot), `${rig.kind} ${cue.id} ${said}`).toBeGreaterThan(-0.01);
        }
      }),
      runs(2500),
    );
    for (const count of Object.values(met)) expect(count).toBeGreaterThan(50);
  });

  test("still break no rule, want no hand twice, and are well-formed and in order", () => {
    fc.assert(
      fc.property(anySpot, anyRig, ({ id, spot }, rig) => {
        const gets = getsAt(id, spot);
        const cues = defaultCues(rig, gets);
        expect(openFindings(checkPlan(planOf({ ...rig, cues }), gets))).toEqual([]);
        for (const cue of cues) {
          v.parse(CueSchema, cue);
          expect(Number.isInteger(cue.offsetS)).toBe(true);
          expect(words).toHaveProperty([cue.key ?? ""]);
        }
        expect(new Set(cues.map((cue) => cue.id)).size).toBe(cues.length);
        const due = cues.map((cue) => cueDueMs(cue, gets.contacts) ?? Number.NaN);
        expect(due).toEqual([...due].sort((a, b) => a - b));
        expect(handsConflicts([{ id: rig.id, cues }], gets.contacts)).toEqual([]);
      }),
      runs(1500),
    );
  });

  test("close every rig at sunset, but not before its filter has had time to go on again", () => {
    let seen = 0;
    fc.assert(
      fc.property(anySpot, anyRig, ({ id, spot }, rig) => {
        const gets = getsAt(id, spot);
        const setMs = gets.sunUp?.untilUtcMs ?? null;
        const all = defaultCues(rig, gets);
        if (setMs === null || all.length === 0) return;
        seen++;
        const [clock] = all.filter(({ id }) => id === "photograph-clock");
        const cues = all.filter((cue) => cue !== clock);
        const last = cues.at(-1)!;
        const lastMs = cueDueMs(last, gets.contacts)!;
        if (clock) {
          expect(all.at(-1)).toBe(clock);
          expect(cueDueMs(clock, gets.contacts)).toBeLessThanOrEqual(
            Math.max(setMs, (gets.contacts.c3 ?? 0) + 45_000) + 120_000,
          );
        }
        expect(["cap", "stop"]).toContain(last.action);
        const c3Ms = gets.contacts.c3 ?? Number.NEGATIVE_INFINITY;
        expect(lastMs).toBeLessThanOrEqual(Math.max(setMs, c3Ms + 45_000));
        // A frame camera's day is over a quarter of an hour after C3, Sun or no Sun.
        if (last.id !== "stop-cap") expect(lastMs).toBeGreaterThan(setMs - 1001);
        for (const cue of cues) {
          const ends = cueOccurrencesMs(cue, gets.contacts).at(-1)! + cue.handsS * 1000;
          if (cue !== last) expect(ends).toBeLessThanOrEqual(lastMs);
        }
      }),
      runs(1500),
    );
    expect(seen).toBeGreaterThan(250);
  });

  test("set up in the dark, and centre and focus every filtered rig once the Sun is up", () => {
    let seen = 0;
    fc.assert(
      fc.property(anySpot, anyRig, ({ id, spot }, rig) => {
        const gets = getsAt(id, spot);
        const riseMs = gets.sunUp?.fromUtcMs ?? null;
        const cues = defaultCues(rig, gets);
        const dark = cues.find(
          (cue) => cue.id.startsWith("focus-") && cue.action === "check" && cue.handsS === 600,
        );
        if (riseMs === null || dark === undefined || rig.unattended) return;
        seen++;
        const ms = (cue: Cue) => cueDueMs(cue, gets.contacts)!;
        expect(ms(dark) + dark.handsS * 1000).toBeLessThanOrEqual(riseMs);
        expect(ms(dark)).toBeGreaterThan(riseMs - 2_401_000);
        const up = cues.find((cue) => cue.id === "sun-up");
        const c2Ms = gets.contacts.c2 ?? Number.POSITIVE_INFINITY;
        // Where totality follows within six minutes, other things may want the hands.
        if (up === undefined) expect(c2Ms - riseMs).toBeLessThan(360_000);
        else expect(ms(up) - riseMs).toBeLessThan(301_000);
      }),
      runs(1500),
    );
    expect(seen).toBeGreaterThan(100);
  });
});

const lines = (rig: Rig, gets: LocalEclipse) =>
  defaultCues(rig, gets).map((cue) => {
    const offset = `${cue.anchor}${cue.offsetS < 0 ? "" : "+"}${cue.offsetS}`;
    const until = cue.repeat ? `, until ${cue.repeat.until.anchor}+${cue.repeat.until.offsetS}` : "";
    return `${offset} ${words[cue.key ?? ""]}${until}`;
  });

describe("at 27.74 S 147.57 E on 25 November 2030, where the Sun sets 21 minutes after totality", () => {
  const spot: Spot = [-27.74, 147.57];
  const gets = getsAt("2030-11-25", spot);

  test("exposures end a minute before sunset, and the rig is capped at it", () => {
    expect(gets.kind).toBe("total");
    const said = lines(rigOf("tracked-telescope"), gets);
    const [partial, tape, cap, clock] = said.slice(-4);
    expect(partial).toMatch(/^C3\+30 Filter on\? Partial exposure\., until C3\+11\d\d$/);
    expect(tape).toBe("C3+60 Tape the filter.");
    expect(cap).toMatch(/^C3\+12\d\d Cap first\. Then stop\.$/);
    expect(clock).toMatch(/^C3\+1[23]\d\d Away from the Sun: photograph the clock\.$/);
    const last = defaultCues(rigOf("tracked-telescope"), gets).at(-2)!;
    expect(last).toMatchObject({ id: "cap-stop", action: "cap" });
    expect(sunUp(cueDueMs(last, gets.contacts)!, spot)).toBeLessThan(0.01);
  });

  test("the ids are those of a place where the Sun stays up", () => {
    const { sunUp: _, ...up } = gets;
    for (const rig of RIGS)
      expect(defaultCues(rig, gets).map((cue) => cue.id)).toEqual(defaultCues(rig, up).map((cue) => cue.id));
  });
});

describe("where nobody has said when the Sun is up", () => {
  test("the lists are as they were", () => {
    const gets = totalSite(180);
    for (const rig of RIGS) {
      const up = { ...gets, sunUp: { fromUtcMs: null, untilUtcMs: null } };
      expect(defaultCues(rig, up)).toEqual(defaultCues(rig, gets));
    }
  });
});

describe("with a Sun that rises in the last minutes before totality", () => {
  const at = (riseS: number, totalityS = 120): LocalEclipse => {
    const gets = totalSite(totalityS);
    return { ...gets, sunUp: { fromUtcMs: utcMs(gets.contacts.c2! + riseS * 1000), untilUtcMs: null } };
  };

  test("card and battery are looked at in the dark, and the focus when the Sun is there", () => {
    const said = lines(rigOf("tripod-camera"), at(-500));
    expect(said).toContain("C2-650 Card, battery. Filter stays on.");
    expect(said).toContain("C2-380 Sun up. Centre, focus. Filter stays on.");
    expect(said).toContain("C2-90 Re-centre.");
    expect(said.join()).not.toMatch(/First bite|C1/);
  });

  test("a filter that the Sun leaves no time to take off stays on, and no burst is asked for", () => {
    const ids = (riseS: number, totalityS: number) =>
      defaultCues(rigOf("tripod-camera"), at(riseS, totalityS)).map((cue) => cue.id);
    expect(ids(-10, 120)).toContain("filter-off");
    const kept = ids(-2, 5);
    expect(kept).not.toContain("filter-off");
    expect(kept).not.toContain("burst-before");
    expect(kept).not.toContain("loosen-tape");
    expect(kept).not.toContain("retape");
  });
});
