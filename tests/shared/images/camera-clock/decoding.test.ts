/**
 * The decoder that the page uses, on synthetic photographs of the clock's codes. What holds and what
 * does not was measured with a prototype: 2 px a module, 50° of tilt, heavy noise, moiré and
 * overexposure are read; at a blur of 0.6 module the mask helps, beyond 0.8 nothing does.
 */
import { readFileSync } from "node:fs";
import { fileURLToPath } from "node:url";
import { beforeAll, describe, expect, it } from "vitest";
import { prepareZXingModule, readBarcodes } from "zxing-wasm/reader";
import { photographedClock, type Shot } from "../../../../hub/people/photographed-clock.ts";
import { codeDigits } from "../../../../shared/images/camera-clock/clock-code.ts";
import { sightingOf } from "../../../../shared/images/camera-clock/from-photograph.ts";
import { type Picture, sharpened } from "../../../../shared/images/camera-clock/sharpen.ts";
import { numbersFrom } from "../../../support/random.ts";

const T = Date.UTC(2027, 7, 2, 8, 31, 20, 300);
const BASE: Shot = { widthPx: 560, heightPx: 300, modulePx: 6, noise: 3 };
const EACH = 3;

beforeAll(() => {
  const file = fileURLToPath(import.meta.resolve("zxing-wasm/reader/zxing_reader.wasm"));
  prepareZXingModule({ overrides: { wasmBinary: new Uint8Array(readFileSync(file)).buffer } });
});

async function textsIn(picture: Picture): Promise<string[]> {
  const found = await readBarcodes(picture as never, { formats: ["QRCode"], maxNumberOfSymbols: 8 });
  return found.filter(({ isValid }) => isValid).map(({ text }) => text);
}

/** How many of some photographs give a sighting that holds the truth, as they are and when sharpened. */
async function readOf(shot: Partial<Shot>): Promise<{ plain: number; masked: number }> {
  const next = numbersFrom(11);
  const count = { plain: 0, masked: 0 };
  for (let n = 0; n < EACH; n++) {
    const at = T + n * 123_400;
    const codes = [codeDigits(at, 0, "usual", 12), codeDigits(at - 100, 1, "usual", 12)] as [string, string];
    const picture = photographedClock(codes, { ...BASE, ...shot }, next);
    const header = { stamp: { localMs: at + 5000, stepMs: 10 }, exposureS: 0.01 };
    for (const [way, pixels] of [
      ["plain", picture],
      ["masked", sharpened(picture, 5)],
    ] as const) {
      const seen = sightingOf("a.jpg", header, await textsIn(pixels));
      if (typeof seen === "string") continue;
      expect(at).toBeGreaterThanOrEqual(seen.utcMs);
      expect(at).toBeLessThanOrEqual(seen.utcMs + seen.holdMs);
      count[way]++;
    }
  }
  return count;
}

describe("codes are read", () => {
  it.each<[string, Partial<Shot>]>([
    ["as they are", {}],
    ["at 2 px a module", { modulePx: 2, widthPx: 300, heightPx: 200 }],
    ["tilted by 50°", { tiltDeg: 50 }],
    ["turned by 30°", { turnDeg: 30, heightPx: 420 }],
    ["in heavy noise", { noise: 40 }],
    ["through moiré", { grid: 0.5 }],
    ["overexposed three times", { exposure: 3 }],
    ["with a lamp in the glass", { glare: 200 }],
    ["with some of everything", { tiltDeg: 25, turnDeg: 8, noise: 15, grid: 0.25, blurModules: 0.25 }],
  ])("%s", async (_how, shot) => expect((await readOf(shot)).plain).toBe(EACH));

  it("at a blur of 0.6 module when they are sharpened", async () => {
    const { plain, masked } = await readOf({ blurModules: 0.6, modulePx: 8, widthPx: 700, heightPx: 360 });
    expect(masked).toBe(EACH);
    expect(plain).toBeLessThan(EACH);
  });

  it("not at a blur of a whole module: nothing is made up", async () => {
    expect(await readOf({ blurModules: 1 })).toEqual({ plain: 0, masked: 0 });
  });
});
