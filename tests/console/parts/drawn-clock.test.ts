import { afterEach, beforeEach, describe, expect, it, vi } from "vitest";
import { keepDrawn, untilSecond } from "../../../console/parts/drawn-clock.ts";

const FRAME_MS = 16;
let page: { hidden: boolean };

beforeEach(() => {
  vi.useFakeTimers({ toFake: ["setTimeout", "clearTimeout", "Date"], now: 0 });
  page = { hidden: false };
  vi.stubGlobal("document", page);
  // No frame comes while a page is hidden.
  vi.stubGlobal("requestAnimationFrame", (draw: () => void) =>
    setTimeout(() => (page.hidden ? requestAnimationFrame(draw) : draw()), FRAME_MS),
  );
  vi.stubGlobal("cancelAnimationFrame", clearTimeout);
});
afterEach(() => {
  vi.useRealTimers();
  vi.unstubAllGlobals();
});

/** When each second was first drawn, ms past it, and how often it was looked. */
function drawSeconds(at: () => number) {
  const lateMs: number[] = [];
  let looks = 0;
  let second = Math.floor(at() / 1000);
  const end = keepDrawn(() => {
    looks++;
    const now = at();
    if (Math.floor(now / 1000) !== second) lateMs.push(now % 1000);
    second = Math.floor(now / 1000);
    return untilSecond(-now);
  });
  return { lateMs, looks: () => looks, end };
}

describe("a clock that is drawn when it changes", () => {
  it("shows each second as it begins, with a tenth of the looks that every frame would cost", () => {
    const drawn = drawSeconds(() => Date.now() + 0.3);
    vi.advanceTimersByTime(10_000);
    expect(drawn.lateMs).toHaveLength(10);
    expect(Math.max(...drawn.lateMs)).toBeLessThan(FRAME_MS);
    expect(drawn.looks()).toBeLessThan(10_000 / FRAME_MS / 8);
    drawn.end();
    expect(vi.getTimerCount()).toBe(0);
  });

  it("shows within a fifth of a second that the clock was set to another time", () => {
    let setMs = 0;
    const drawn = drawSeconds(() => Date.now() + setMs);
    vi.advanceTimersByTime(20);
    setMs = 5000;
    vi.advanceTimersByTime(200);
    expect(drawn.lateMs).toHaveLength(1);
    drawn.end();
  });

  it("is drawn at each frame when it asks for the next", () => {
    let looks = 0;
    const end = keepDrawn(() => {
      looks++;
      return 0;
    });
    vi.advanceTimersByTime(10 * FRAME_MS);
    expect(looks).toBe(11);
    end();
    vi.advanceTimersByTime(10 * FRAME_MS);
    expect(looks).toBe(11);
  });

  it("rests while the page is hidden, and is right at the first frame after", () => {
    const drawn = drawSeconds(Date.now);
    page.hidden = true;
    vi.advanceTimersByTime(60_000);
    expect(drawn.looks()).toBe(1);
    page.hidden = false;
    vi.advanceTimersByTime(FRAME_MS);
    expect(drawn.looks()).toBe(2);
    drawn.end();
  });
});

describe("the time until a text of whole seconds changes", () => {
  it("is what is left of the second, before an instant and after it", () => {
    expect(untilSecond(4300)).toBe(300);
    expect(untilSecond(-300)).toBe(700);
    expect(untilSecond(-4000)).toBeCloseTo(0);
  });
});
