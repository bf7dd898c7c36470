/** One photograph of the clock page: what it says, by hand-made figures. */
import { describe, expect, it } from "vitest";
import { codeDigits } from "../../../../shared/images/camera-clock/clock-code.ts";
import { sightingOf, sightingOfDigits } from "../../../../shared/images/camera-clock/from-photograph.ts";
import { intervalOfSighting } from "../../../../shared/images/camera-clock/known-clock.ts";

const T = Date.UTC(2027, 7, 2, 8, 31, 20);
const header = { stamp: { localMs: T + 7_203_000, stepMs: 1000 }, exposureS: 0.01 };
const code = (utcMs: number, panel: 0 | 1, pace: "usual" | "fast" = "usual") =>
  codeDigits(utcMs, panel, pace, 1) ?? "";

describe("a photograph of the clock", () => {
  it("with one panel read lies within its hold, the exposure before it", () => {
    const seen = sightingOf("a.jpg", header, [code(T, 0), "https://example.org/rig"]);
    expect(seen).toEqual({
      of: "code",
      name: "a.jpg",
      stampMs: T + 7_203_000,
      stepMs: 1000,
      utcMs: T - 10,
      holdMs: 210,
      boundMs: 1,
    });
    // Camera − UTC: from 7 203 000 − (200 + 80 + 1) to 7 203 000 + 1000 + 10 + 1.
    const { leastMs, mostMs } = intervalOfSighting(seen as never);
    expect([leastMs, mostMs]).toEqual([7_202_719, 7_204_011]);
  });

  it("with both read lies after the newer was put up and before the older went", () => {
    const seen = sightingOf("a.jpg", header, [code(T, 0), code(T - 100, 1)]);
    expect(seen).toMatchObject({ utcMs: T - 10, holdMs: 110 });
  });

  it("counts 80 ms of exposure where the header says none", () => {
    expect(sightingOf("a.jpg", { ...header, exposureS: null }, [code(T, 0)])).toMatchObject({
      utcMs: T - 80,
      holdMs: 280,
    });
  });

  it.each([
    ["no time", { stamp: null, exposureS: null }, [code(T, 0)]],
    ["no code", header, []],
    ["no code", header, ["12345678901234567", "rig"]],
    ["codes disagree", header, [code(T, 0), code(T - 5000, 1)]],
  ] as const)("says %j of one that tells nothing", (why, head, texts) => {
    expect(sightingOf("a.jpg", head, texts)).toBe(why);
  });
});

describe("digits that a person read off", () => {
  it("to the tenth stand for a tenth, to the second for a second", () => {
    expect(sightingOfDigits("a.jpg", header, "08:31:20.4", 1000)).toMatchObject({
      of: "digits",
      utcMs: T + 400 - 10,
      holdMs: 110,
      boundMs: 1000,
    });
    expect(sightingOfDigits("a.jpg", header, " 8:31:20", 1000)).toMatchObject({
      utcMs: T - 10,
      holdMs: 1010,
    });
  });

  it("are of the day on which camera and UTC are nearest, zone and midnight reckoned with", () => {
    const late = { stamp: { localMs: Date.UTC(2027, 7, 3, 1, 59, 59), stepMs: 1000 }, exposureS: 0 };
    expect(sightingOfDigits("a.jpg", late, "23:59:58", 0)).toMatchObject({
      utcMs: Date.UTC(2027, 7, 2, 23, 59, 58),
    });
    // A camera whose calendar is nine days behind, as others of it say.
    const nine = sightingOfDigits("a.jpg", late, "23:59:58", 0, -9 * 86_400_000);
    expect(nine).toMatchObject({ utcMs: Date.UTC(2027, 7, 11, 23, 59, 58) });
  });

  it.each(["", "24:00:00", "8:61:00", "now", "08:31"])("are not %j", (text) => {
    expect(sightingOfDigits("a.jpg", header, text, 0)).toBeNull();
  });
});
