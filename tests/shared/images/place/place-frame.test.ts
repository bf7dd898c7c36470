import { describe, expect, test } from "vitest";
import { eclipseById } from "../../../../shared/eclipse/table.ts";
import { track } from "../../../../shared/eclipse/track.ts";
import { findingsOf } from "../../../../shared/images/findings/findings.ts";
import { coveredAt } from "../../../../shared/images/place/phase.ts";
import { utcMs as instant } from "../../../../shared/time/instants.ts";
import { PALM_FIELD, SiteWorld } from "../../run/site-world.ts";
import { BOUND_S, knowledgeOf, NOTHING, place, stampedAt, worldWithClock } from "./frames.ts";

const world = worldWithClock();
const known = knowledgeOf(world.log);
const { c1, c2, c3, c4 } = world.predicted;
/** Half a step of the stamp is part of the bound, and so is what a crystal drifts in minutes (40 ppm). */
const MOST_BOUND_MS = BOUND_S * 1000 + 5 + 0.1 * 240;

describe("a frame of a camera whose clock is known", () => {
  test("is at its UTC within the stated bound", () => {
    const [frame] = place(known, "west", stampedAt(c2 + 60_000));
    expect(Math.abs((frame?.utcMs ?? 0) - (c2 + 60_000))).toBeLessThan(frame?.boundMs ?? 0);
    expect(frame?.boundMs).toBeLessThan(MOST_BOUND_MS);
    expect(frame?.camera).toBe("Camera A");
  });

  test("knows its phase and how far the nearest contact is", () => {
    const at = [c1 - 600_000, c1 + 600_000, c2 + 60_000, c3 - 30_000, c3 + 600_000, c4 + 600_000];
    const phases = place(known, "west", ...at.map((utc) => stampedAt(utc))).map(({ phase }) => phase);
    expect(phases.map((one) => one?.phase)).toEqual([
      "before C1",
      "partial",
      "totality",
      "totality",
      "partial",
      "after C4",
    ]);
    expect(phases[2]?.intoS).toBeCloseTo(60, 1);
    expect(phases[3]?.fromContact).toMatchObject({ contact: "C3" });
    expect(phases[3]?.fromContact?.s).toBeCloseTo(-30, 1);
  });

  test("is not decided where a contact lies within the bounds of frame and contact", () => {
    const timingS = known.state.circumstances?.timingBoundS ?? 0;
    const [near, past] = place(
      known,
      "west",
      stampedAt(c2 + 100),
      stampedAt(c2 + 1000 * timingS + MOST_BOUND_MS + 50),
    );
    expect(near?.phase).toMatchObject({ phase: "C2 to within the bound", fromContact: { contact: "C2" } });
    expect(past?.phase?.phase).toBe("totality");
  });

  // The solver's own shadow at the place, from the canon's elements: an independent way to the same figure.
  test("has the covered fraction of the solver to two hundredths", () => {
    const elements = eclipseById("2027-08-02");
    if (!elements || !known.state.circumstances) throw new Error("no eclipse");
    let worst = 0;
    for (const { utcMs, obscuration } of track(elements, PALM_FIELD, {
      fromUtcMs: instant(c1),
      toUtcMs: instant(c4),
    })) {
      if (utcMs > c2 - 5000 && utcMs < c3 + 5000) continue;
      const ours = coveredAt(known.state.circumstances, known.contacts.predicted, utcMs) ?? Number.NaN;
      worst = Math.max(worst, Math.abs(ours - obscuration));
    }
    expect(worst).toBeLessThan(0.02);
  });

  test("knows where the Sun stood", () => {
    const contact = known.state.circumstances?.contacts.c2;
    const [frame] = place(known, "west", stampedAt(c2));
    // Two models of the Sun: good to 0.015° each.
    expect(frame?.sun?.altitudeDeg).toBeCloseTo(contact?.altitudeDeg ?? Number.NaN, 1);
    expect(frame?.sun?.azimuthDeg).toBeCloseTo(contact?.azimuthDeg ?? Number.NaN, 0);
  });
});

describe("a frame's time", () => {
  test("is unknown without a clock; the file's own offset leads to UTC without a bound", () => {
    const none = place(known, "eye", stampedAt(c2))[0];
    expect([none?.utcMs, none?.boundMs, none?.phase, none?.filter]).toEqual([null, null, null, null]);
    expect(none?.warnings).toEqual(["camera clock unknown"]);
    const said = stampedAt(c2 + 60_000, {}, 7_200_000);
    const own = place(known, "eye", { ...said, stamp: said.stamp && { ...said.stamp, offsetMin: 120 } })[0];
    expect(own).toMatchObject({
      boundMs: null,
      warnings: ["camera clock unknown: the file's own offset is taken"],
    });
    expect(own?.utcMs).toBeCloseTo(c2 + 60_000, -2);
    expect(place(known, "west", NOTHING)[0]?.warnings).toEqual(["no time in the file"]);
  });

  test("of a video whose header may be local or UTC is the one near the eclipse", () => {
    const movie = (utcMs: number, aheadMs: number) => {
      const frame = stampedAt(utcMs, { kind: "video", durationS: 60 }, aheadMs);
      return { ...frame, stamp: frame.stamp && { ...frame.stamp, stepMs: 1000, field: "mvhd" } };
    };
    for (const aheadMs of [3410, 7_203_410]) {
      const [video] = place(known, "west", movie(c2 - 60_000, aheadMs));
      expect(Math.abs((video?.utcMs ?? 0) - (c2 - 60_000))).toBeLessThan(video?.boundMs ?? 0);
      expect(video?.warnings).toEqual(["video's time may be local or UTC"]);
    }
  });

  test("of a rig with two cameras needs to know which one it was", () => {
    const two = worldWithClock();
    const basis = { how: "hand", offsetS: -5, boundS: 1, utcMs: c2 } as const;
    two.order({ type: "noteCameraClock", rigId: "west", camera: "Camera B", zoneMin: 0, basis }, c4);
    const both = knowledgeOf(two.log);
    const [unnamed, named] = place(
      both,
      "west",
      stampedAt(c2 + 60_000),
      stampedAt(c2 + 60_000, { model: "Invented CAMERA A mk2" }),
    );
    expect(unnamed).toMatchObject({ utcMs: null, camera: null });
    expect(unnamed?.warnings).toContain("several cameras on this rig: none is named as the file's");
    expect(named?.camera).toBe("Camera A");
  });

  test("follows a corrected clock: the last word counts", () => {
    const corrected = worldWithClock();
    const basis = { how: "hand", offsetS: 13.41, boundS: 0.1, utcMs: c2 } as const;
    corrected.order({ type: "noteCameraClock", rigId: "west", camera: "Camera A", zoneMin: 120, basis }, c4);
    const [frame] = place(knowledgeOf(corrected.log), "west", stampedAt(c2 + 60_000));
    expect(frame?.utcMs).toBeCloseTo(c2 + 50_000, -2);
  });
});

describe("filters and the plan", () => {
  const filtered = worldWithClock();
  filtered.report("west", { filter: "on" }, { at: c1 });
  filtered.report("west", { filter: "off" }, { at: c2 + 20_000 });
  filtered.report("west", { filter: "on" }, { at: c3 + 6000 });
  const told = knowledgeOf(filtered.log);

  test("the filter is the one that had been reported then", () => {
    const at = [c1 - 60_000, c1 + 60_000, c2 + 10_000, c2 + 60_000, c3 + 60_000];
    const frames = place(told, "west", ...at.map((utc) => stampedAt(utc)));
    expect(frames.map(({ filter }) => filter)).toEqual(["unknown", "on", "on", "off", "on"]);
    const [edge] = place(told, "west", stampedAt(c2 + 20_050));
    expect(edge?.warnings).toContain("filter changed within the bound");
  });

  test("frames in totality with the filter on are counted", () => {
    const frames = Array.from({ length: 41 }, (_, i) => stampedAt(c2 + 5000 + 300 * i));
    const found = findingsOf(told, place(told, "west", ...frames));
    expect(found).toContainEqual({ kind: "filter-on", rigId: "west", frames: 41 });
  });

  test("a raw file and its JPEG are one exposure", () => {
    const names = ["A1.NEF", "A1.JPG", "A2.NEF", "A2.JPG"];
    const frames = names.map((file) => stampedAt(c2 + 5000 + 1000 * Number(file[1]), { file }));
    const found = findingsOf(told, place(told, "west", ...frames));
    expect(found).toContainEqual({ kind: "filter-on", rigId: "west", frames: 2 });
  });

  test("the cue that asked for it is the last one about photographs", () => {
    const burst = known.rigs.get("west")?.cues.find(({ cue }) => cue.action === "burst");
    const [frame] = place(known, "west", stampedAt((burst?.dueMs ?? 0) + 2000));
    expect(frame?.cueId).toBe(burst?.id);
    expect(place(known, "west", stampedAt(c1 - 7_200_000))[0]?.cueId).toBeNull();
  });

  test("an exposure that the plan did not name is told once for all frames that have it", () => {
    const rig = known.rigs.get("west");
    const burst = rig?.cues.find(({ cue }) => cue.action === "burst");
    if (!rig || !burst) throw new Error("no burst");
    const camera = { exposuresS: [1 / 1000], iso: 100, fNumber: null };
    const cues = rig.cues.map((one) => (one === burst ? { ...one, cue: { ...one.cue, camera } } : one));
    const planned = { ...known, rigs: new Map([["west", { ...rig, cues }]]) };
    const at = (n: number, exposureS: number) => stampedAt(burst.dueMs + 1000 * n, { exposureS, iso: 100 });
    const found = findingsOf(planned, place(planned, "west", at(1, 1 / 60), at(2, 1 / 60), at(3, 1 / 1024)));
    expect(found).toContainEqual(
      expect.objectContaining({
        kind: "not-planned",
        what: "exposure",
        wanted: [1 / 1000],
        got: 1 / 60,
        frames: 2,
      }),
    );
    expect(found.filter(({ kind }) => kind === "not-planned")).toHaveLength(1);
  });
});

describe("gaps", () => {
  test("a burst that stops from C2−4 s to C2+9 s is told, and that the buffer may have been full", () => {
    const burst = Array.from({ length: 60 }, (_, i) => stampedAt(c2 - 10_000 + 100 * i));
    const after = Array.from({ length: 60 }, (_, i) => stampedAt(c2 + 9000 + 1000 * i));
    const found = findingsOf(known, place(known, "west", ...after, ...burst));
    const gap = found.find(({ kind }) => kind === "gap");
    expect(gap).toMatchObject({
      rigId: "west",
      from: { contact: "C2" },
      until: { contact: "C2" },
      buffer: true,
    });
    if (gap?.kind !== "gap") throw new Error("no gap");
    expect([gap.from.s, gap.until.s].map((s) => Math.round(s))).toEqual([-4, 9]);
  });

  test("a video beside stills fills no gap of theirs", () => {
    const stills = [c2 - 8000, c2 - 7800, c2 - 7600, c2 + 9000].map((at) => stampedAt(at));
    const video = stampedAt(c2 - 60_000, { kind: "video", durationS: 600 });
    const kinds = findingsOf(known, place(known, "west", video, ...stills)).map(({ kind }) => kind);
    expect(kinds).toContain("gap");
  });

  test("the steady pace of a slow series is none, and neither are pauses far from totality", () => {
    const slow = Array.from({ length: 60 }, (_, i) => stampedAt(c2 - 300_000 + 10_000 * i));
    const early = [stampedAt(c1), stampedAt(c1 + 600_000)];
    expect(
      findingsOf(known, place(known, "west", ...early, ...slow)).filter(({ kind }) => kind === "gap"),
    ).toEqual([]);
  });

  test("a camera without a frame of totality is named, a video through it counts", () => {
    const [partial] = [stampedAt(c1 + 60_000)];
    const video = stampedAt(c2 - 60_000, { kind: "video", durationS: 600 });
    const kinds = (...frames: Parameters<typeof place>[2][]) =>
      findingsOf(known, place(known, "west", ...frames)).map(({ kind }) => kind);
    expect(kinds(partial as never)).toContain("no-totality");
    expect(kinds(video)).not.toContain("no-totality");
  });
});

test("a site without an eclipse places frames in time alone", () => {
  const plain = SiteWorld.planned({ eclipse: null });
  const frame = stampedAt(c2, {}, 0);
  const [placed] = place(knowledgeOf(plain.log), "west", {
    ...frame,
    stamp: frame.stamp && { ...frame.stamp, offsetMin: 0 },
  });
  expect(placed?.phase).toMatchObject({ phase: "no eclipse", fromContact: null });
});
