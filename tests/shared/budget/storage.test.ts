/** Cards and batteries, worked by hand. */
import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { emptyAtMs, lastsH, wattHours } from "../../../shared/budget/power.ts";
import {
  burstS,
  burstTake,
  cardUse,
  framesOnCard,
  framesTake,
  type Take,
  videoTake,
} from "../../../shared/budget/storage.ts";

const H = 3_600_000;

describe("a card", () => {
  test("two hours of video at 55 Mbit/s are about 50 GB (common practice, no source)", () => {
    // 55e6 / 8 · 7200 s = 49.5e9 bytes.
    expect(cardUse([videoTake(0, 2 * H, 55)], 64).usedGB).toBeCloseTo(49.5, 6);
    expect(cardUse([videoTake(0, 2 * H, 55)], 64).fullAtMs).toBeNull();
  });
  test("is full when the bytes say so: 32 GB at 55 Mbit/s after 4654.5 s", () => {
    // 32e9 / 6.875e6.
    expect((cardUse([videoTake(0, 2 * H, 55)], 32).fullAtMs ?? 0) / 1000).toBeCloseTo(4654.545, 2);
  });
  test("frames: one of 28 MB every 10 s for an hour are 360, 10.08 GB", () => {
    const use = cardUse([framesTake(0, H, 0.1, 28)], 64);
    expect(use.frames).toBe(360);
    expect(use.usedGB).toBeCloseTo(10.08, 6);
  });
  test("bursts and video on one card add up", () => {
    // 49.5 GB and two bursts of 40 frames of 25 MB: 2 GB.
    const takes = [videoTake(0, 2 * H, 55), burstTake(H, 40, 25, 4), burstTake(1.1 * H, 40, 25, 4)];
    expect(cardUse(takes, 64).usedGB).toBeCloseTo(51.5, 6);
  });
  test("takes 2285 whole frames of 28 MB in 64 GB", () => expect(framesOnCard(64, 28)).toBe(2285));
  test("is never full before its bytes are there, and by then it is", () => {
    const take = fc
      .tuple(
        fc.integer({ min: 0, max: 1e7 }),
        fc.integer({ min: 1000, max: 1e7 }),
        fc.integer({ min: 1, max: 400 }),
      )
      .map(([from, length, mbit]): Take => videoTake(from, from + length, mbit));
    fc.assert(
      fc.property(
        fc.array(take, { minLength: 1, maxLength: 6 }),
        fc.integer({ min: 1, max: 400 }),
        (takes, free) => {
          const { usedGB, fullAtMs } = cardUse(takes, free);
          expect(fullAtMs === null).toBe(usedGB <= free + 1e-9);
          if (fullAtMs === null) return;
          let bytes = 0;
          for (const { fromMs, untilMs, bytesPerS } of takes)
            bytes += (bytesPerS * Math.max(0, Math.min(untilMs, fullAtMs) - fromMs)) / 1000;
          expect(bytes / 1e9).toBeCloseTo(free, 6);
        },
      ),
    );
  });
});

describe("a camera's buffer", () => {
  test("of 20 frames of 25 MB at 10 a second and 100 MB/s lasts 3.33 s", () => {
    // Fills at 10 − 4 = 6 frames a second.
    expect(burstS(10, 20, 25, 100)).toBeCloseTo(20 / 6, 9);
  });
  test("never fills where the card keeps up", () =>
    expect(burstS(3, 20, 25, 100)).toBe(Number.POSITIVE_INFINITY));
});

describe("a battery", () => {
  test("of 2000 mAh at 7.2 V is 14.4 Wh; at 4 W four fifths of it last 2.88 h", () => {
    expect(wattHours(2000, 7.2)).toBeCloseTo(14.4, 9);
    expect(lastsH(14.4, 4)).toBeCloseTo(2.88, 9);
    expect(emptyAtMs(14.4, 4, 0)).toBeCloseTo(2.88 * H, 3);
    expect(emptyAtMs(14.4, 0, 0)).toBeNull();
  });
});
