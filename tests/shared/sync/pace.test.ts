import { expect, test } from "vitest";
import { BOARD_PACE, pollGapMs, RIG_PACE } from "../../../shared/sync/pace.ts";

test("a device that has just joined asks several times a second, then more and more calmly", () => {
  const gaps = [0, 10_000, 30_000, 60_000, 120_000].map((since) =>
    pollGapMs(RIG_PACE, since, { linkUp: true }),
  );
  expect(gaps).toEqual([250, 500, 1000, 2000, 4000]);
});

test("the pace quickens in the three minutes before a contact and until ten seconds after it", () => {
  const at = (toNextContactMs: number) => pollGapMs(RIG_PACE, 600_000, { linkUp: true, toNextContactMs });
  expect(at(200_000)).toBe(4000);
  expect(at(179_000)).toBe(1500);
  expect(at(0)).toBe(1500);
  expect(at(-9_000)).toBe(1500);
  expect(at(-11_000)).toBe(4000);
});

test("boards ask about a quarter as often as rigs", () => {
  for (const since of [0, 10_000, 60_000, 600_000]) {
    const ratio =
      pollGapMs(BOARD_PACE, since, { linkUp: true }) / pollGapMs(RIG_PACE, since, { linkUp: true });
    expect(ratio).toBeCloseTo(3.75, 6);
  }
});

test("without a link the question comes up once a second", () => {
  expect(pollGapMs(RIG_PACE, 600_000, { linkUp: false })).toBe(1000);
});
