/**
 * S5: a hub whose clock is 90 s wrong, with phones that know better, or a step that waits for an
 * answer. Whatever it is told, the worse of its bound and of what stands against it covers its true
 * error at every look. The machine is simulated: its true time is known.
 */
import { describe, expect, test } from "vitest";
import { HubClock } from "../../hub/clock/hub-clock.ts";
import type { SourceReport } from "../../hub/clock/ports.ts";
import { clockHealthOf } from "../../hub/site/alert-desk.ts";
import { Machine } from "../hub/clock/machine.ts";

/** How often a page tells of its clock, ms (shared/link/session.ts). */
const PULSE_MS = 2000;
const WATCHED_MS = 300_000;
/** The laptop's clock is read cut off to whole ms. */
const READING_MS = 1;
/** Phones set by their networks are usually within this (common practice, no source), ms. */
const PHONE_ERRORS_MS = [0, 120, -180, 60];

interface Site {
  machine: Machine;
  clock: HubClock;
  /** Lets time pass; phones that know UTC tell of their clocks. Gives the least margin seen, ms. */
  pass(ms: number, phones: number): number;
}

function site(wallErrorMs: number, vouchedMs: number | null): Site {
  const machine = new Machine();
  machine.wallError = wallErrorMs;
  const clock = new HubClock({ ports: machine.ports, epoch: "t" });
  if (vouchedMs !== null) {
    const estimate = { ...machine.estimate(wallErrorMs, vouchedMs) };
    clock.report({ id: "system", kind: "system", state: "good", detail: "", estimate } as SourceReport);
  }
  return {
    machine,
    clock,
    pass(ms, phones) {
      let margin = Number.POSITIVE_INFINITY;
      for (let t = 0; t < ms; t += 500) {
        machine.run(500);
        if (t % PULSE_MS === 0)
          for (let n = 0; n < phones; n++)
            clock.addWitness(`phone-${n}`, machine.utc + (PHONE_ERRORS_MS[n] ?? 0) - clock.now(), 4);
        clock.tick();
        // The phones' own errors are theirs: nobody can know the hub better than they know UTC.
        const { hubBoundMs, apartMs = 0 } = clockHealthOf(clock);
        const known = Math.max(hubBoundMs, apartMs) + (phones > 0 ? 200 : 0);
        margin = Math.min(margin, known - Math.abs(clock.now() - machine.utc));
      }
      return margin;
    },
  };
}

describe.each([-90_000, 90_000])("a laptop %i ms off whose system says nothing of its clock", (errorMs) => {
  test.each([0, 1, 2, 3, 4])("with %i phones that know UTC never claims more than it knows", (phones) => {
    const { clock, pass } = site(errorMs, null);
    expect(pass(WATCHED_MS, phones)).toBeGreaterThanOrEqual(0);
    const { hubBoundMs, apartMs = 0, disputed } = clockHealthOf(clock);
    expect(disputed).toBe(phones > 0);
    if (phones > 0) expect(apartMs).toBeCloseTo(90_000, -3);
    if (phones === 0) {
      expect(apartMs).toBe(0);
      // Longer than any totality (7.5 min; Meeus, Mathematical Astronomy Morsels III: 7 min 32 s, from memory).
      expect(hubBoundMs).toBeGreaterThan(7.5 * 60_000);
    }
  });
});

describe.each([-90_000, 90_000])(
  "a laptop %i ms off whose system says that it is synchronised",
  (errorMs) => {
    test.each([1, 2, 3, 4])("with %i phones that know UTC is in doubt by 90 s", (phones) => {
      const { clock, pass } = site(errorMs, 250);
      expect(pass(WATCHED_MS, phones)).toBeGreaterThanOrEqual(0);
      expect(clockHealthOf(clock).apartMs).toBeCloseTo(90_000, -3);
      expect(clockHealthOf(clock).disputed).toBe(true);
    });
  },
);

describe("a step of the laptop's clock by 20 s that nobody has judged", () => {
  test.each([
    ["was wrong", 0, 20_000],
    ["put the clock right", -20_000, 20_000],
    ["put the clock right backwards", 20_000, -20_000],
  ])("and that %s is a doubt of 20 s", (_what, errorMs, stepMs) => {
    const { machine, clock, pass } = site(errorMs, 250);
    // Before the step nothing tells of the error: only from then on the hub can know of it.
    pass(10_000, 0);
    machine.wallError += stepMs;
    machine.run(500);
    clock.tick();
    expect(pass(WATCHED_MS, 0)).toBeGreaterThanOrEqual(-READING_MS);
    const { apartMs, disputed, stepped } = clockHealthOf(clock);
    expect(apartMs).toBeCloseTo(20_000, -2);
    expect({ disputed, stepped }).toEqual({ disputed: true, stepped: true });
    clock.refuseStep();
    expect(clockHealthOf(clock).apartMs).toBe(0);
  });
});
