import { describe, expect, it } from "vitest";
import { stripAround } from "../../../../../console/lead/plan/hands/strip-layout.ts";

const task = (cueId: string, startS: number, endS: number, anchor: "C1" | "C2" | "C3" = "C2") => ({
  rigId: "west",
  cueId,
  n: 1,
  startS,
  endS,
  anchor,
});

describe("a pair of hands drawn around a contact", () => {
  it("is to scale: as many percent for as many seconds, whatever is drawn", () => {
    const order = [task("off", -20, -14), task("burst", -10, 0), task("brackets", 8, 23)];
    const strip = stripAround({ order, dropped: [] }, "C2");
    // From two seconds before the first to two after the last: −22 to 25, 47 s (arithmetic).
    expect(strip?.contactAt).toBeCloseTo((22 / 47) * 100, 9);
    for (const block of strip?.blocks ?? []) {
      expect(block.width).toBeCloseTo(((block.endS - block.startS) / 47) * 100, 9);
      expect(block.from).toBeCloseTo(((block.startS + 22) / 47) * 100, 9);
    }
    expect(strip?.marks.map(({ s }) => s)).toContain(0);
  });

  it("shows what is left undone where it was due, and nothing of another contact", () => {
    const dropped = [{ rigId: "south", cueId: "burst", atS: -12, anchor: "C2" as const }];
    const order = [task("off", -20, -14), task("on", 5, 13, "C3")];
    const strip = stripAround({ order, dropped }, "C2");
    expect(strip?.blocks.map(({ cueId, undone }) => [cueId, undone])).toEqual([
      ["off", false],
      ["burst", true],
    ]);
  });

  it("is none where nothing is done within a minute and a half", () => {
    expect(stripAround({ order: [task("focus", -600, -480)], dropped: [] }, "C2")).toBeNull();
  });
});
