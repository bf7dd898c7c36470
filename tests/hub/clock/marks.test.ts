import { expect, test } from "vitest";
import { estimateFromMarks, type Mark } from "../../../hub/clock/marks.ts";
import { monoMs } from "../../../shared/time/instants.ts";
import { random } from "../../sim/clock-world.ts";

const marks = (offsets: number[], gapMs = 1000): Mark[] =>
  offsets.map((offsetMs, i) => ({ offsetMs, atMono: monoMs(i * gapMs) }));

test("no mark gives nothing, one mark half a second", () => {
  expect(estimateFromMarks([])).toBeUndefined();
  expect(estimateFromMarks(marks([700]))).toMatchObject({ offsetMs: 700, boundMs: 500 });
});

test("several marks are averaged, and their scatter makes the bound", () => {
  const close = estimateFromMarks(marks([100, 120, 80, 110, 90]));
  const wide = estimateFromMarks(marks([100, 300, -100, 250, -50]));
  expect(close?.offsetMs).toBe(100);
  expect(wide?.offsetMs).toBe(100);
  expect(close?.boundMs).toBeLessThan(250);
  expect(wide?.boundMs).toBeGreaterThan((close?.boundMs ?? 0) + 100);
});

// Student's t for 4 degrees of freedom at 0.995 is 4.604 (standard tables)
test("the scatter of five marks enters with Student's t", () => {
  const e = estimateFromMarks(marks([-20, -10, 0, 10, 20], 0));
  // s = sqrt(1000/4) = 15.811, s/√5 = 7.071, × 4.604 = 32.56
  expect(e?.boundMs).toBeCloseTo(200 + 32.56, 1);
});

test("two marks are never worse than one with their difference", () => {
  expect(estimateFromMarks(marks([0, 40], 0))?.boundMs).toBeLessThanOrEqual(520);
});

// Reaction 160–190 ms (Kosinski, quoted second-hand): a constant lateness stays within the bound
test("people who are 180 ms late on average and scatter by 60 ms are covered in 995 of 1000 sites", () => {
  const u = random(11);
  const normal = () => Math.sqrt(-2 * Math.log(u())) * Math.cos(2 * Math.PI * u());
  let missed = 0;
  for (let k = 0; k < 1000; k++) {
    const e = estimateFromMarks(marks(Array.from({ length: 5 }, () => -180 + 60 * normal())));
    if (Math.abs(e?.offsetMs ?? 1e9) > (e?.boundMs ?? 0)) missed++;
  }
  expect(missed).toBeLessThanOrEqual(5);
});
