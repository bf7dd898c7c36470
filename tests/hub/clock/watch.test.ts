import { expect, test } from "vitest";
import { MachineWatch } from "../../../hub/clock/watch.ts";

const start = () => {
  const watch = new MachineWatch(10);
  watch.look({ mono: 0, wall: 1e12, uptime: 50_000 });
  return watch;
};

test("time that passes on all three clocks is nothing", () => {
  const watch = start();
  for (let t = 500; t < 100_000; t += 500)
    expect(watch.look({ mono: t, wall: 1e12 + t, uptime: 50_000 + Math.floor(t / 10) * 10 })).toEqual({
      sleptMs: 0,
      steppedMs: 0,
      resetMs: 0,
    });
});

test("a wall clock that is set is a step, of its size and sign", () => {
  for (const by of [3000, -3000, 25, -25])
    expect(start().look({ mono: 500, wall: 1e12 + 500 + by, uptime: 50_500 })).toEqual({
      sleptMs: 0,
      steppedMs: by,
      resetMs: 0,
    });
});

test("a wall clock that is slewed is not: half a millisecond in half a second", () => {
  expect(start().look({ mono: 500, wall: 1e12 + 500.5, uptime: 50_500 }).steppedMs).toBe(0);
});

test("uptime that outran the monotonic clock is sleep, and the wall clock's jump belongs to it", () => {
  expect(start().look({ mono: 600, wall: 1e12 + 600_600, uptime: 650_600 })).toEqual({
    sleptMs: 600_000,
    steppedMs: 0,
    resetMs: 0,
  });
});

test("sleep and a step together are told apart", () => {
  const seen = start().look({ mono: 600, wall: 1e12 + 600_600 + 5000, uptime: 650_600 });
  expect(seen).toEqual({ sleptMs: 600_000, steppedMs: 5000, resetMs: 0 });
});

test("after sleep the wall clock may be a second off: it is set from a clock of whole seconds", () => {
  const seen = start().look({ mono: 600, wall: 1e12 + 600_600 - 800, uptime: 650_600 });
  expect(seen).toEqual({ sleptMs: 600_000, steppedMs: 0, resetMs: -800 });
});

test("clocks whose rates differ by 100 ppm do not add up to sleep in a day", () => {
  const watch = start();
  let slept = 0;
  for (let t = 500; t < 86_400_000; t += 2000)
    slept += watch.look({ mono: t, wall: 1e12 + t, uptime: 50_000 + t * 1.0001 }).sleptMs;
  expect(slept).toBe(0);
});
