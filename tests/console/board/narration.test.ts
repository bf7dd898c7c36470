/** What is told by phase, and S13: never a word to look without the rule that goes with it. */
import "../../../console/words/bundles/common.ts";
import "../../../console/words/bundles/board.ts";
import { createElement } from "react";
import { renderToStaticMarkup } from "react-dom/server";
import { describe, expect, it } from "vitest";
import { type BoardView, nextKey } from "../../../console/board/board-view.ts";
import { narration } from "../../../console/board/narration.ts";
import { WhatToSee } from "../../../console/board/what-to-see.tsx";
import ar from "../../../console/words/ar/board.json";
import en from "../../../console/words/en/board.json";
import es from "../../../console/words/es/board.json";
import fr from "../../../console/words/fr/board.json";
import type { BoardSnapshot, BrightBody } from "../../../shared/protocol/messages.ts";
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
const viewOf = (phase: BoardView["phase"], more: Partial<BoardView> = {}): BoardView => ({
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
const told = (phase: BoardView["phase"], more: Partial<BoardView> = {}) => narration(viewOf(phase, more));
const body = (name: BrightBody["name"], altitudeDeg: number, azimuthDeg: number, sunDeg?: number) => ({
  ...{ name, altitudeDeg, azimuthDeg, magnitude: 0 },
  ...(sunDeg !== undefined && { sunDeg }),
});

describe("what is told on the board", () => {
  it("follows the phase: bite, crescents, cool and grey, shadow, beads, corona, return", () => {
    expect(told("before").line).toBe("board.see.before");
    expect(told("covering").line).toBe("board.see.crescents");
    expect(told("covering", { runNowMs: runMs(C2 - 600_000) }).line).toBe("board.see.late");
    expect(told("covering", { runNowMs: runMs(C2 - 60_000) })).toEqual({
      line: "board.see.shadow",
      sky: "far",
      past: false,
    });
    expect(told("due").line).toBe("board.see.due");
    expect(told("totality")).toMatchObject({ line: "board.see.totality", sky: "all" });
    expect(told("returning").line).toBe("board.see.returning");
    expect(told("uncovering")).toMatchObject({ line: "board.see.uncovering", past: true });
    expect(told("after")).toEqual({ line: null, sky: "none", past: true });
  });

  it("S8: in practice says that it is only practice", () => {
    expect(told("totality", { practice: { endsAtUtcMs: utcMs(C2), rate: 1 } }).line).toBe(
      "board.see.totalityPractice",
    );
  });

  it("S2: at a partial or annular site has no line of totality, no planets and nothing that was total", () => {
    for (const kind of ["partial", "annular"] as const)
      for (const phase of ["before", "covering", "ring", "uncovering", "after"] as const) {
        const said = told(phase, { kind, runNowMs: runMs(C2 - 1000) });
        expect(said).toMatchObject({ sky: "none", past: false });
        expect(said.line ?? "").not.toMatch(/totality|late|shadow|due/);
      }
  });

  it("says nothing while the Sun is down", () => {
    const sun = { altitudeDeg: -3, azimuthDeg: 90, up: false, moon: null, covered: 0, totality: false };
    expect(told("covering", { sun })).toEqual({ line: null, sky: "none", past: false });
  });

  it("tells those who come in the evening what it was like, though the Sun has set", () => {
    const sun = { altitudeDeg: -30, azimuthDeg: 300, up: false, moon: null, covered: 0, totality: false };
    for (const phase of ["uncovering", "after"] as const)
      expect(told(phase, { sun })).toEqual({ line: null, sky: "none", past: true });
    expect(told("after", { sun, kind: "partial" }).past).toBe(false);
  });

  it("S13: names what stands right beside the Sun only when glasses may be off, never in practice", () => {
    const practice = { endsAtUtcMs: utcMs(C2), rate: 1 };
    expect(told("covering", { runNowMs: runMs(C2 - 60_000) }).sky).toBe("far");
    expect(told("due").sky).toBe("far");
    expect(told("totality", { practice }).sky).toBe("far");
    expect(told("totality").sky).toBe("all");
  });

  it("says where each stands: beside the Moon, overhead, or how high and in which direction", () => {
    const sky = [body("venus", 80, 216, 3), body("jupiter", 81, 124, 25), body("sirius", 37, 221, 70)];
    const snapshot = { sky, zone: "UTC" } as unknown as BoardSnapshot;
    const seen = (phase: BoardView["phase"]) =>
      renderToStaticMarkup(createElement(WhatToSee, { snapshot, view: viewOf(phase) }));
    expect(seen("totality")).toContain(
      "Venus, close beside the black Moon · Jupiter, almost overhead · Sirius, 37° high in the south-west",
    );
    expect(seen("due")).not.toContain("Venus");
    expect(seen("due")).toContain("Jupiter, almost overhead");
  });

  it("tells afterwards what was called, though it stands no more, and of what nobody called that it is the prediction", () => {
    const seen = (calledOut: BoardSnapshot["calledOut"]) =>
      renderToStaticMarkup(
        createElement(WhatToSee, {
          snapshot: { sky: [], zone: "UTC", skySeen: null, calledTotalityMs: null, calledOut } as never,
          view: viewOf("after"),
        }),
      );
    const called = seen({ totalityMs: runMs(C2 + 1000), returnMs: runMs(C2 + 300_000) });
    expect(called).toContain("Totality was called out at 13:46:41");
    expect(called).toContain("return was called out at 13:51:40");
    expect(called).not.toContain("prediction");
    expect(seen({ totalityMs: null, returnMs: null })).toContain("By prediction totality from 13:46:40");
  });

  it("S8: counts a practice down to what would be in the eclipse, not to glasses that were never off", () => {
    const practice = { endsAtUtcMs: utcMs(C2), rate: 1 };
    expect(nextKey("glassesOn", { practice: null })).toBe("board.next.glassesOn");
    expect(nextKey("glassesOn", { practice })).toBe("board.next.glassesOnPractice");
    expect(nextKey("return", { practice })).toBe("board.next.return");
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
