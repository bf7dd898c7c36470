/** Common practice, no source: how cameras themselves write what they are set to. */
import { describe, expect, it } from "vitest";
import { cameraShort, cameraText } from "../../../console/parts/camera-text.ts";

describe("what a camera is set to", () => {
  it("is written as on its dials, and leaves out what nobody has said", () => {
    expect(cameraText({ exposuresS: [1 / 2000, 1 / 500, 0.25, 1, 2.5], iso: 400, fNumber: 5.6 })).toBe(
      "1/2000, 1/500, 1/4, 1, 2.5 s · ISO 400 · f/5.6",
    );
    expect(cameraText({ exposuresS: [], iso: null, fNumber: 8 })).toBe("f/8");
    expect(cameraText({ exposuresS: [0.3], iso: 200, fNumber: null })).toBe("0.3 s · ISO 200");
  });

  it("is a run of exposures by its number and ends where somebody sets it in haste", () => {
    expect(cameraShort({ exposuresS: [1 / 2000, 1 / 500, 0.25, 1, 2.5], iso: 400, fNumber: 5.6 })).toBe(
      "5 × 1/2000 … 2.5 s · ISO 400 · f/5.6",
    );
    expect(cameraShort({ exposuresS: [1 / 125], iso: 200, fNumber: 8 })).toBe("1/125 s · ISO 200 · f/8");
  });
});
