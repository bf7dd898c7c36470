import { describe, expect, it } from "vitest";
import { ownWords } from "../../../../../console/lead/plan/cues/own-words.ts";

describe("a lead's own words for a cue", () => {
  it("are none as long as the usual ones stand in the field, or nothing does", () => {
    expect(ownWords("Focus.", "Focus.")).toBeNull();
    expect(ownWords("", "Focus.")).toBeNull();
    expect(ownWords("   ", "Focus.")).toBeNull();
  });

  it("are what was typed, blanks while typing included", () => {
    expect(ownWords("Focus on the ", "Focus.")).toBe("Focus on the ");
    expect(ownWords("Tape, too", "")).toBe("Tape, too");
  });
});
