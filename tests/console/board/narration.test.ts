/** What is told by phase, and S13: never a word to look without the rule that goes with it. */
import { describe, expect, it } from "vitest";
import type { BoardView } from "../../../console/board/board-view.ts";
import { narration } from "../../../console/board/narration.ts";
import ar from "../../../console/words/ar/board.json";
import en from "../../../console/words/en/board.json";
import es from "../../../console/words/es/board.json";
import fr from "../../../console/words/fr/board.json";
import { runMs, utcMs } from "../../../shared/time/instants.ts";

const C2 = 1_000_000_000;
const contacts = {
  c1: runMs(C2 - 4_000_000),
  c2: runMs(C2),
  max: runMs(C2 + 150_000),
  c3: runMs(C2 + 300_000),
  filterC3: runMs(C2 + 300_000),
  safeC3: runMs(C2 + 300_000),
  c4: runMs(C2 + 4_000_000),
};
const told = (phase: BoardView["phase"], more: Partial<BoardView> = {}) =>
  narration({
    runNowMs: runMs(C2 - 3_000_000),
    practice: null,
    kind: "total",
    contacts,
    centralS: 300,
    phase,
    glasses: "on",
    next: null,
    safety: "on",
    sun: null,
    ...more,
  });

describe("what is told on the board", () => {
  it("follows the phase: bite, crescents, cool and grey, shadow, beads, corona, return", () => {
    expect(told("before").line).toBe("board.see.before");
    expect(told("covering").line).toBe("board.see.crescents");
    expect(told("covering", { runNowMs: runMs(C2 - 600_000) }).line).toBe("board.see.late");
    expect(told("covering", { runNowMs: runMs(C2 - 60_000) })).toEqual({
      line: "board.see.shadow",
      sky: true,
      past: false,
    });
    expect(told("due").line).toBe("board.see.due");
    expect(told("totality")).toMatchObject({ line: "board.see.totality", sky: true });
    expect(told("returning").line).toBe("board.see.returning");
    expect(told("uncovering")).toMatchObject({ line: "board.see.uncovering", past: true });
    expect(told("after")).toEqual({ line: null, sky: false, past: true });
  });

  it("S8: in practice says that it is only practice", () => {
    expect(told("totality", { practice: { endsAtUtcMs: utcMs(C2), rate: 1 } as never }).line).toBe(
      "board.see.totalityPractice",
    );
  });

  it("S2: at a partial or annular site has no line of totality, no planets and nothing that was total", () => {
    for (const kind of ["partial", "annular"] as const)
      for (const phase of ["before", "covering", "ring", "uncovering", "after"] as const) {
        const said = told(phase, { kind, runNowMs: runMs(C2 - 1000) });
        expect(said).toMatchObject({ sky: false, past: false });
        expect(said.line ?? "").not.toMatch(/totality|late|shadow|due/);
      }
  });

  it("says nothing while the Sun is down", () => {
    const sun = { altitudeDeg: -3, azimuthDeg: 90, up: false, moon: null, covered: 0, totality: false };
    expect(told("covering", { sun })).toEqual({ line: null, sky: false, past: false });
  });

  it("S13: speaks of glasses in every line and every language", () => {
    const glasses = [
      [en, /glasses/i],
      [es, /gafas/i],
      [fr, /lunettes/i],
      [ar, /نظّار/],
    ] as const;
    for (const [words, word] of glasses) {
      const lines = Object.entries(words as Record<string, unknown>).filter(([key]) =>
        key.startsWith("board.see."),
      );
      expect(lines).toHaveLength(10);
      for (const [key, line] of lines) expect(JSON.stringify(line), key).toMatch(word);
    }
  });
});
