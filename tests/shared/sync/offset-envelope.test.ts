import { expect, test } from "vitest";
import { fitCorridor, type Poll } from "../../../shared/sync/offset-envelope.ts";
import { random } from "../../sim/clock-world.ts";

const FREE = { centre: 0, width: 0.1 };

/** Polls of a line a + b·x with given journeys, one every two seconds. */
function polls(
  n: number,
  a: number,
  b: number,
  up: (k: number) => number,
  down: (k: number) => number,
): Poll[] {
  return Array.from({ length: n }, (_, k) => {
    const x = 2 * k;
    return { upX: x, upY: a + b * x + up(k), downX: x, downY: a + b * x - down(k) };
  });
}

// Two-sided bounds: compare Moon, Skelly, Towsley 1999 and Zhang, Liu, Xia 2002 (from memory);
// the expected values follow from the model itself: exact journeys give the exact line.
test("equal journeys give the line exactly, and half the corridor is the journey", () => {
  const fit = fitCorridor(
    polls(
      60,
      12,
      0.03,
      () => 5,
      () => 5,
    ),
    FREE,
    0.02,
  );
  expect(fit).not.toBeNull();
  if (!fit) return;
  expect(fit.x0).toBe(118);
  expect(fit.offset).toBeCloseTo(12 + 0.03 * 118, 1);
  expect(fit.rate).toBeCloseTo(0.03, 3);
  expect(fit.half).toBeCloseTo(5, 1);
});

test("unequal journeys shift the line by half their difference, which half the corridor covers", () => {
  const fit = fitCorridor(
    polls(
      60,
      0,
      0,
      () => 9,
      () => 1,
    ),
    FREE,
    0.02,
  );
  expect(fit?.offset).toBeCloseTo(4, 1);
  expect(fit?.half).toBeGreaterThanOrEqual(4.99);
});

test("the best upward and the best downward journey need not belong to one exchange", () => {
  // every exchange is slow one way, so no single one is better than 25 ms
  const fit = fitCorridor(
    polls(
      80,
      3,
      0,
      (k) => (k % 2 ? 50 : 1),
      (k) => (k % 2 ? 1 : 50),
    ),
    FREE,
    0.02,
  );
  expect(Math.abs((fit?.offset ?? 99) - 3)).toBeLessThan(1.5);
  expect(fit?.half).toBeLessThan(3);
});

test("rates up to 500 ppm either way are found", () => {
  const u = random(5);
  for (const rate of [-0.5, -0.2, 0.2, 0.5]) {
    const fit = fitCorridor(
      polls(
        60,
        0,
        rate,
        () => 3 + 4 * u(),
        () => 3 + 4 * u(),
      ),
      FREE,
      0.02,
    );
    expect(Math.abs((fit?.rate ?? 9) - rate)).toBeLessThan(0.03);
    expect(Math.abs((fit?.offset ?? 99) - rate * 118)).toBeLessThan(1.5);
  }
});

test("points that no line can pass between give no fit", () => {
  const p = polls(
    20,
    0,
    0,
    () => 1,
    () => 1,
  ).map((v, k) => (k < 10 ? v : { ...v, upY: v.upY + 50, downY: v.downY + 50 }));
  expect(
    fitCorridor(
      [
        ...p,
        ...polls(
          20,
          0,
          0,
          () => 1,
          () => 1,
        ),
      ],
      FREE,
      0.02,
    ),
  ).toBeNull();
  expect(fitCorridor([], FREE, 0.02)).toBeNull();
});

test("the stated spread is the size of the errors: over 200 worlds 3.5 spreads miss at most two", () => {
  let missed = 0;
  for (let seed = 1; seed <= 200; seed++) {
    const u = random(seed);
    const tail = () => 4 + 6 * (u() ** (-1 / 3) - 1);
    const fit = fitCorridor(polls(40, 0, 0.02, tail, tail), FREE, 0.02);
    const error = (fit?.offset ?? 99) - 0.02 * 78;
    if (Math.abs(error) > 3.5 * Math.sqrt(fit?.varOffset ?? 0)) missed++;
  }
  expect(missed).toBeLessThanOrEqual(2);
});
