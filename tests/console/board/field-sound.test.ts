/**
 * What is said to a field, and when: S13 (glasses on never later, totality never by the clock), S7, and
 * one voice at a time. Lengths of phrases are invented.
 */
import { describe, expect, it } from "vitest";
import type { SafetyLine } from "../../../console/board/board-view.ts";
import { saidIn } from "../../../console/board/sound/field-clips.ts";
import { fieldMoments, NO_MOMENTS } from "../../../console/board/sound/field-moments.ts";
import { type FieldInput, fieldPlan } from "../../../console/board/sound/field-plan.ts";
import { locales } from "../../../console/words/words.ts";
import { later, utcMs } from "../../../shared/time/instants.ts";

const ON = utcMs(Date.UTC(2027, 7, 2, 10, 8, 12, 340));
const C2 = utcMs(Date.UTC(2027, 7, 2, 10, 2, 8));
const PLAIN: FieldInput = {
  languages: locales,
  words: saidIn,
  glassesOnUtcMs: null,
  byClock: false,
  coverUtcMs: null,
  totalityUtcMs: null,
  minute: { text: "One minute.", locale: "en" },
  lengthOf: (words) => 400 + 40 * words.length,
};
const plan = (more: Partial<FieldInput>) => fieldPlan({ ...PLAIN, ...more });

describe("sound for the field", () => {
  it("S13: says “glasses on” on the second itself in the first language, then in the others, twice", () => {
    const sounds = plan({ glassesOnUtcMs: ON, byClock: true });
    const said = sounds.filter(({ id }) => id.startsWith("glassesOn/"));
    expect(said[0]?.atUtcMs).toBe(ON);
    expect(said.map(({ locale }) => locale)).toEqual([...locales, ...locales]);
    expect(said.map(({ saying }) => saying).slice(0, 2)).toEqual(["Glasses on.", "Gafas puestas."]);
    expect(sounds.filter(({ kind }) => kind === "pip").map(({ atUtcMs }) => ON - atUtcMs)).toEqual([
      5000, 4000, 3000, 2000, 1000,
    ]);
    expect(sounds[0]?.atUtcMs).toBe(ON - 10_000);
  });

  it("has one voice: nothing that is said runs into what comes next", () => {
    for (const more of [{ glassesOnUtcMs: ON, byClock: true }, { coverUtcMs: ON }, { totalityUtcMs: C2 }]) {
      const sounds = plan(more);
      for (const [n, { atUtcMs, lengthMs }] of sounds.entries())
        expect(later(atUtcMs, lengthMs)).toBeLessThanOrEqual(
          sounds[n + 1]?.atUtcMs ?? Number.POSITIVE_INFINITY,
        );
    }
  });

  it("S13: counts no pips to totality and never says to look up", () => {
    const sounds = plan({ totalityUtcMs: C2, glassesOnUtcMs: ON, byClock: true });
    expect(sounds.filter(({ kind, atUtcMs }) => kind !== "words" && atUtcMs <= C2)).toEqual([]);
    expect(sounds.every(({ saying }) => !/look|mira|regardez|انظر/i.test(saying ?? ""))).toBe(true);
    expect(sounds.filter(({ atUtcMs, lengthMs }) => atUtcMs <= C2 && later(atUtcMs, lengthMs) > C2)).toEqual(
      [],
    );
  });

  it("S7: says cover before everything else, after an alarm, in every language", () => {
    const sounds = plan({ coverUtcMs: C2, glassesOnUtcMs: ON, byClock: true });
    expect(sounds[0]).toMatchObject({ kind: "alarm", atUtcMs: C2 + 120 });
    expect(sounds.slice(1).map(({ id }) => id.split("/")[0])).toEqual(new Array(8).fill("cover"));
  });

  it("follows the board: by the clock, at once when called sooner, and quiet half a minute later", () => {
    const view = (safety: SafetyLine) => ({ safety });
    const off = fieldMoments(NO_MOMENTS, view("off"), false, later(ON, -20_000), ON);
    expect(off).toMatchObject({ off: true, glassesOnUtcMs: ON, byClock: true });
    const byClock = fieldMoments(off, view("onNow"), false, later(ON, 4), null);
    expect(byClock).toMatchObject({ off: false, glassesOnUtcMs: ON, byClock: true });
    const called = fieldMoments(off, view("stay"), false, later(ON, -15_000), null);
    expect(called).toMatchObject({ glassesOnUtcMs: ON - 15_000, byClock: false });
    expect(fieldMoments(called, view("stay"), false, later(ON, 16_000), null).glassesOnUtcMs).toBeNull();
    const covered = fieldMoments(off, view("onNow"), true, later(ON, -15_000), null);
    expect(covered.coverUtcMs).toBe(ON - 15_000);
    expect(fieldMoments(covered, view("onNow"), true, later(ON, -9000), null).coverUtcMs).toBe(ON - 15_000);
    const practised = fieldMoments(NO_MOMENTS, view("offPractice"), false, later(ON, -20_000), ON);
    expect(practised).toMatchObject({ off: true, byClock: true });
  });

  it("has a clip of each phrase in every language", () => {
    for (const locale of locales)
      for (const words of Object.values(saidIn(locale))) expect(words.length).toBeGreaterThan(3);
  });
});
