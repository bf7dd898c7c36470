/** A hub's clock without a source of time: what it may claim, and what the devices' clocks do to it (S5). */
import { describe, expect, test } from "vitest";
import type { HubClock } from "../../../hub/clock/hub-clock.ts";
import { site } from "./hub-clock-world.ts";
import { Machine } from "./machine.ts";

describe("a laptop alone", () => {
  // S5. Longer than any totality: 7 min 32 s (Meeus, Mathematical Astronomy Morsels III, from memory).
  test("a system clock that says nothing of itself is known to ten minutes, growing by 15 ppm", () => {
    const { clock, run } = site();
    run(5000);
    expect(clock.status()).toMatchObject({ source: "system", step: null, slept: null, dispute: null });
    expect(clock.boundMs()).toBeGreaterThanOrEqual(600_000);
    expect(clock.boundMs()).toBeLessThan(600_005);
    run(2 * 3_600_000);
    // 15 ppm of two hours: 108 ms.
    expect(clock.boundMs()).toBeCloseTo(600_000 + 1 + 108, -1);
  });

  test("the same where the system says that it is not synchronised", () => {
    const { clock, run } = site();
    clock.report({ id: "system", kind: "system", state: "unsynchronised", detail: "" });
    run(1000);
    expect(clock.boundMs()).toBeGreaterThanOrEqual(600_000);
  });

  test("what a system has vouched for holds on with age when it says nothing any more", () => {
    const { clock, machine, run, worst } = site();
    machine.ppm = 40;
    const word = { id: "system", kind: "system", detail: "" } as const;
    clock.report({ ...word, state: "good", estimate: machine.estimate(0, 250) });
    run(60_000);
    clock.report({ ...word, state: "unknown" });
    run(3_600_000);
    clock.report({ ...word, state: "unsynchronised" });
    run(1000);
    // 50 ppm of an hour and a minute: 183 ms.
    expect(clock.boundMs()).toBeCloseTo(250 + 1 + 183, -1);
    expect(worst()).toBeLessThanOrEqual(0);
  });

  test("what a system vouches for while its step waits, or was refused, is not the eclipse clock", () => {
    const { clock, machine, run } = site();
    const says = () =>
      clock.report({
        id: "system",
        kind: "system",
        state: "good",
        detail: "",
        estimate: machine.estimate(machine.wallError, 5),
      });
    says();
    run(3_600_000);
    machine.wallError += 20_000;
    run(1000);
    says();
    run(500);
    expect(clock.status().apartMs).toBeCloseTo(20_000, -1);
    expect(clock.boundMs()).toBeGreaterThan(150);
    clock.refuseStep();
    says();
    run(500);
    expect(clock.boundMs()).toBeGreaterThan(150);
    expect(clock.status().apartMs).toBe(0);
    // Set right again, it vouches for our reading again, and nobody has to be asked.
    machine.wallError -= 20_000;
    run(500);
    says();
    run(500);
    expect(clock.status().step).toBeNull();
    expect(clock.boundMs()).toBeLessThan(10);
  });

  test("witnesses that agree narrow it, and the verdict is told", () => {
    const { clock, run, log } = site();
    for (const [id, by] of [
      ["a", 30],
      ["b", -60],
      ["c", 90],
      ["d", 10],
    ] as const)
      clock.addWitness(id, by, 5);
    run(1000);
    expect(clock.boundMs()).toBeLessThan(400);
    expect(clock.status().witnesses).toMatchObject({ verdict: "agreed", count: 4 });
    expect(log.some((e) => e.type === "witnesses" && e.data.verdict === "agreed")).toBe(true);
    expect(clock.status()).toMatchObject({ apartMs: 0, witnesses: { narrow: true } });
  });

  test("what they knew holds on with age when they have left, also through a sleep and a restart", () => {
    const first = site();
    for (const id of ["a", "b", "c"]) first.clock.addWitness(id, 30, 5);
    first.run(1000);
    const bound = first.clock.boundMs();
    first.run(3_600_000);
    expect(first.clock.status().witnesses).toMatchObject({ verdict: "too few", count: 0 });
    // 50 ppm of an hour: 180 ms.
    expect(first.clock.boundMs()).toBeCloseTo(bound + 180, -1);
    first.machine.sleep(600_000);
    first.run(1000);
    expect(first.clock.boundMs()).toBeLessThan(bound + 300);
    const saved = JSON.parse(JSON.stringify(first.clock.save()));
    first.machine.run(3000);
    first.machine.restartProgram();
    const second = site({ saved }, first.machine);
    second.run(1000);
    expect(second.clock.boundMs()).toBeLessThan(bound + 300);
    expect(second.clock.boundMs()).toBeGreaterThan(bound + 180);
    expect([first.worst(), second.worst()].every((ms) => ms <= 0)).toBe(true);
  });

  test("three of one mind against a clock that is not known say by how much, and narrow it to that", () => {
    const machine = new Machine();
    machine.wallError = -2000;
    const { clock, run, worst } = site({}, machine);
    for (const id of ["a", "b", "c", "d"]) clock.addWitness(id, 2000, 5);
    run(1000);
    expect(clock.status()).toMatchObject({ witnesses: { verdict: "disputed", byMs: 2000, count: 4 } });
    expect(clock.status().apartMs).toBeCloseTo(2005, 0);
    expect(clock.boundMs()).toBeGreaterThan(2000);
    expect(clock.boundMs()).toBeLessThan(2500);
    expect(worst()).toBeLessThanOrEqual(0);
  });

  test("three of one mind do not narrow a clock that vouches for itself", () => {
    const { clock, machine, run } = site();
    clock.report({ id: "a", kind: "ntp", state: "good", detail: "", estimate: machine.estimate(0, 900) });
    for (const id of ["a", "b", "c"]) clock.addWitness(id, 30, 5);
    run(1000);
    expect(clock.boundMs()).toBeGreaterThanOrEqual(900);
    expect(clock.status().witnesses.narrow).toBe(false);
  });

  test("the lead sets it by a watch: known to half a second, and the phones see it at once", () => {
    const machine = new Machine();
    machine.wallError = -90_000;
    const { clock, run, error } = site({}, machine);
    clock.addWitness("a", 90_000, 5);
    run(1000);
    expect(clock.status().apartMs).toBeCloseTo(90_005, 0);
    clock.setAtMark(machine.utc);
    clock.setNow();
    run(500);
    expect(Math.abs(error())).toBeLessThan(2);
    expect(clock.status().apartMs).toBe(0);
    expect(clock.boundMs()).toBeLessThan(600);
  });
});

describe("witnesses set aside", () => {
  function withOne(saved?: unknown, machine = new Machine()) {
    const made = site({ saved }, machine);
    made.clock.report({
      id: "gps",
      kind: "gps",
      state: "good",
      detail: "",
      estimate: machine.estimate(0, 2),
    });
    return made;
  }
  const row = (clock: HubClock) => clock.status().witnesses.devices.find((w) => w.deviceId === "a");

  test("a device that is set aside is counted no more until it is taken back; both are logged", () => {
    const { clock, run, log } = withOne();
    clock.addWitness("a", 90_000, 5, "Android phone");
    run(500);
    expect(row(clock)).toMatchObject({ label: "Android phone", offsetMs: 90_000, standing: "disagrees" });
    expect(clock.setWitnessAside("a")).toBe(true);
    expect(clock.status().apartMs).toBe(0);
    expect(row(clock)?.standing).toBe("set aside");
    expect(clock.countWitnessAgain("a")).toBe(true);
    expect(clock.status().apartMs).toBeCloseTo(90_005, 0);
    expect(log.filter((e) => e.type.startsWith("witness")).map((e) => [e.type, e.data.deviceId])).toEqual([
      ["witnessSetAside", "a"],
      ["witnessCounted", "a"],
    ]);
  });

  test("a device that nobody has heard of is none", () => {
    const { clock } = withOne();
    expect(clock.setWitnessAside("a")).toBe(false);
    expect(clock.countWitnessAgain("a")).toBe(false);
  });

  test("it ends by itself when the device's clock is set by more than 5 s, and is logged", () => {
    const { clock, log, run } = withOne();
    clock.addWitness("a", 90_000, 5);
    clock.setWitnessAside("a");
    for (const by of [94_900, 85_100, 90_000]) clock.addWitness("a", by, 5);
    run(500);
    expect(clock.status().apartMs).toBe(0);
    clock.addWitness("a", 95_100, 5);
    expect(clock.status().apartMs).toBeCloseTo(95_105, 0);
    expect(log.at(-1)).toMatchObject({ type: "witnessCounted", data: { deviceId: "a" } });
    clock.setWitnessAside("a");
    clock.addWitness("a", 0, 5);
    expect(row(clock)?.standing).toBe("agrees");
  });

  test("it is kept over a restart of the hub and of the machine, also of one that is silent", () => {
    const first = withOne();
    first.clock.addWitness("a", 90_000, 5, "tablet");
    first.clock.setWitnessAside("a");
    first.run(500);
    const saved = JSON.parse(JSON.stringify(first.clock.save()));
    first.machine.run(3000);
    first.machine.restartProgram();
    for (const after of [saved, { ...saved, uptimeMs: saved.uptimeMs + 1e9 }]) {
      const second = withOne(after, first.machine);
      second.run(500);
      expect(row(second.clock)).toMatchObject({ label: "tablet", ageS: null, standing: "set aside" });
      second.clock.addWitness("a", 90_010, 5, "tablet");
      expect(second.clock.status().apartMs).toBe(0);
      expect(row(second.clock)?.standing).toBe("set aside");
      expect(second.clock.countWitnessAgain("a")).toBe(true);
      expect(second.clock.status().apartMs).toBeGreaterThan(90_000);
    }
  });

  test("what was known by it alone is known no more", () => {
    const { clock, run } = site();
    for (const id of ["a", "b", "c"]) clock.addWitness(id, 30, 5);
    run(1000);
    expect(clock.boundMs()).toBeLessThan(1000);
    clock.setWitnessAside("a");
    expect(clock.boundMs()).toBeGreaterThan(500_000);
  });

  test("a phone whose link breaks is heard for two minutes more, and no longer", () => {
    const { clock, run } = withOne();
    clock.addWitness("a", 90_000, 5);
    run(119_000);
    expect(clock.status().apartMs).toBeGreaterThan(90_000);
    run(3000);
    expect(clock.status()).toMatchObject({ apartMs: 0, witnesses: { devices: [] } });
  });
});
