/**
 * The default lists at sites that are partial or annular. Common practice, no source; that no
 * filter ever comes off there is NASA's eye-safety text (S2).
 */
import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { cueOccurrencesMs } from "../../../../shared/plan/cue-times.ts";
import { defaultCues } from "../../../../shared/plan/defaults/default-cues.ts";
import type { LocalEclipse } from "../../../../shared/plan/local-eclipse.ts";
import type { Rig } from "../../../../shared/plan/model/plan.ts";
import { annularSite, anyRig, partialSite, rigOf, totalSite, words } from "../sites-and-rigs.ts";

const lines = (rig: Rig, gets: LocalEclipse) =>
  defaultCues(rig, gets).map(
    (cue) => `${cue.anchor}${cue.offsetS < 0 ? "" : "+"}${cue.offsetS} ${words[cue.key ?? ""]}`,
  );
const CAMERAS = ["tracked-telescope", "tripod-camera", "small-automatic-telescope"] as const;

describe("default cues where the filter stays on throughout", () => {
  test("of a camera at an annular site, line by line", () => {
    for (const kind of CAMERAS)
      expect(lines(rigOf(kind), annularSite(200))).toEqual([
        "C1-3600 Focus. Tape the filter.",
        "C1-600 Focus, card, battery. Filter stays on.",
        "C1-30 First bite soon. Filter stays on.",
        "C2-4500 Partial exposure. Filter stays on.",
        "C2-570 Focus, card, battery. Filter stays on.",
        "C2-5 Ring begins. Burst. Filter stays on.",
        "max-5 Maximum. Expose. Filter stays on.",
        "C3-5 Ring ends. Burst. Filter stays on.",
        "C3+30 Partial exposure. Filter stays on.",
        "C4+30 Cap first. Then stop.",
        "C4+300 Filter stays on. Another lens: photograph the clock.",
      ]);
  });

  test("of a camera at a partial site, line by line", () => {
    for (const kind of CAMERAS)
      expect(lines(rigOf(kind), partialSite())).toEqual([
        "C1-3600 Focus. Tape the filter.",
        "C1-600 Focus, card, battery. Filter stays on.",
        "C1-30 First bite soon. Filter stays on.",
        "max-4500 Partial exposure. Filter stays on.",
        "max-570 Focus, card, battery. Filter stays on.",
        "max-5 Maximum. Expose. Filter stays on.",
        "max+300 Partial exposure. Filter stays on.",
        "C4+30 Cap first. Then stop.",
        "C4+300 Filter stays on. Another lens: photograph the clock.",
      ]);
  });

  test("expose every five minutes from first contact to last, but for the ring itself", () => {
    for (const gets of [partialSite(), annularSite(300)]) {
      const cues = defaultCues(rigOf("tripod-camera"), gets);
      for (const cue of cues) if (cue.repeat) expect(cue.repeat.everyS).toBe(300);
      const shots = cues
        .filter((cue) => cue.action === "exposure" || cue.action === "burst")
        .flatMap((cue) => cueOccurrencesMs(cue, gets.contacts))
        .sort((a, b) => a - b);
      expect(shots[0]).toBeLessThan(gets.contacts.c1!);
      expect(shots.at(-1)).toBeGreaterThan(gets.contacts.c4! - 300_000);
      for (const [i, ms] of shots.slice(1).entries()) expect(ms - shots[i]!).toBeLessThanOrEqual(330_000);
    }
  });

  test("record video from five minutes before the ring to five minutes after it, without a stop", () => {
    const said = lines(rigOf("video-camera"), annularSite(200));
    expect(said).toContain("C2-300 Start recording. Filter stays on.");
    expect(said).toContain("C3+300 Stop recording. Filter stays on.");
    expect(said).toContain("max-5 Maximum. Filter stays on.");
    const cues = defaultCues(rigOf("video-camera"), annularSite(200));
    expect(cues.filter((cue) => cue.action === "stop")).toHaveLength(1);
  });

  test("say that the filter stays on with every exposure, burst, recording and check of a filtered rig", () => {
    const anyRing = fc.integer({ min: 1, max: 7500 }).map((tenths) => annularSite(tenths / 10));
    fc.assert(
      fc.property(anyRig, fc.oneof(anyRing, fc.constant(partialSite())), (rig, gets) => {
        fc.pre(rig.kind !== "projection" && !rig.unattended && rig.filter === "front");
        for (const cue of defaultCues(rig, gets)) {
          if (cue.action === "cap" || cue.id === "focus-tape") continue;
          expect(words[cue.key ?? ""], cue.id).toMatch(/stays (on|in place)/);
        }
      }),
      { numRuns: 500 },
    );
  });

  test("of a ring too short for two bursts and an exposure keep the burst at its beginning", () => {
    for (const s of [0.5, 2, 9]) {
      const ids = defaultCues(rigOf("tripod-camera"), annularSite(s)).map((cue) => cue.id);
      expect(ids).toContain("ring-begins");
      expect(ids).not.toContain("maximum");
    }
    const ids = defaultCues(rigOf("tripod-camera"), annularSite(21)).map((cue) => cue.id);
    expect(ids).toEqual(expect.arrayContaining(["ring-begins", "maximum", "ring-ends"]));
  });

  test("never lose a series because one of its instants meets another cue", () => {
    // Any length of the partial phase: the series must not hang on where its last instant falls.
    for (let partialS = 3000; partialS < 3300; partialS += 7) {
      const gets = { ...totalSite(200, partialS), kind: "annular" as const, totalityS: 0, ringS: 200 };
      for (const kind of ["tripod-camera", "visual-telescope", "projection", "video-camera"] as const) {
        const series = defaultCues(rigOf(kind), gets).filter((cue) => cue.repeat !== null);
        expect(series, `${kind} ${partialS}`).toHaveLength(2);
      }
    }
  });
});
