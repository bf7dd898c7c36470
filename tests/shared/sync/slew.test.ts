import { expect, test } from "vitest";
import { BACK_STEP_MS, Slew } from "../../../shared/sync/slew.ts";

/** Shows an estimate that changes by `byMs` at 1000, every 10 ms up to `until`. */
function run(byMs: number, until: number): number[] {
  const slew = new Slew();
  const out: number[] = [];
  for (let t = 0; t <= until; t += 10) {
    if (t === 1000) slew.change(t, -byMs);
    out.push(slew.show(t, 50_000 + t + (t >= 1000 ? byMs : 0)));
  }
  return out;
}
const least = (v: number[]) => Math.min(...v.slice(1).map((x, i) => x - (v[i] as number)));
const most = (v: number[]) => Math.max(...v.slice(1).map((x, i) => x - (v[i] as number)));

test("a small correction runs off at 5 % of time, either way", () => {
  for (const by of [-3, 3]) {
    const shown = run(by, 1200);
    expect(least(shown)).toBeGreaterThanOrEqual(10 * 0.95 - 1e-6);
    expect(most(shown)).toBeLessThanOrEqual(10 * 1.05 + 1e-6);
    expect(shown[shown.length - 1]).toBeCloseTo(51_200 + by, 6);
  }
});

test("a clock three seconds ahead slows down to half and never goes back", () => {
  const shown = run(-3000, 9000);
  expect(least(shown)).toBeCloseTo(5, 6);
  expect(shown[shown.length - 1]).toBeCloseTo(59_000 - 3000, 6);
});

test("a clock three seconds behind is put right at once", () => {
  const shown = run(3000, 1100);
  expect(shown[100]).toBeCloseTo(54_000, 6);
});

test("a hub set back by more than half a minute makes a new beginning", () => {
  const slew = new Slew();
  expect(slew.show(0, 100_000)).toBe(100_000);
  slew.change(10, BACK_STEP_MS + 1);
  expect(slew.show(10, 60_000)).toBe(60_000);
});

test("asked for an earlier instant it answers without disturbing the later ones", () => {
  const slew = new Slew();
  slew.show(100, 5100);
  expect(slew.show(50, 5050)).toBe(5050);
  expect(slew.show(101, 5099)).toBe(5100);
});
