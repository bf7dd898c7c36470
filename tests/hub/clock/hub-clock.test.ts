import { describe, expect, test } from "vitest";
import { utcMs } from "../../../shared/time/instants.ts";
import { site } from "./hub-clock-world.ts";
import { EPOCH, Machine, ScriptedSource } from "./machine.ts";

describe("sources", () => {
  test("a GPS fix is followed, slewed at no more than 500 ppm in a real run, and the bound tells the rest", () => {
    const gps = new ScriptedSource("gps", "gps");
    const { clock, machine, run, error, worst, log } = site({ sources: [gps] });
    clock.start();
    gps.say("good", machine.estimate(0, 2));
    run(500);
    clock.stop();
    expect(gps.running).toBe(false);
    expect(clock.status().source).toBe("gps");
    expect(log.some((e) => e.type === "sourceChosen" && e.data.id === "gps")).toBe(true);
    expect(Math.abs(error())).toBeLessThan(1);
    expect(clock.boundMs()).toBeLessThan(5);
    expect(worst()).toBeLessThanOrEqual(0);
  });

  test("a clock 300 ms wrong is slewed in a real run and set at once outside one", () => {
    for (const real of [true, false]) {
      const machine = new Machine();
      machine.wallError = 300;
      const { clock, run, error, worst } = site({ inRealRun: () => real }, machine);
      clock.report({ id: "a", kind: "ntp", state: "good", detail: "", estimate: machine.estimate(0, 10) });
      run(1000);
      if (real) expect(error()).toBeCloseTo(300, -1);
      else expect(Math.abs(error())).toBeLessThan(10);
      expect(clock.boundMs()).toBeGreaterThan(Math.abs(error()));
      run(100_000);
      // at 500 ppm, from the second slot on
      if (real) expect(error()).toBeGreaterThan(300 - 0.5e-3 * 100_000);
      run(900_000);
      expect(Math.abs(error())).toBeLessThan(10);
      expect(worst()).toBeLessThanOrEqual(0);
    }
  });

  test("the lead says set now: corrected at once, logged", () => {
    const machine = new Machine();
    machine.wallError = 300;
    const { clock, run, error, log } = site({}, machine);
    clock.report({ id: "a", kind: "ntp", state: "good", detail: "", estimate: machine.estimate(0, 10) });
    run(1000);
    expect(clock.setNow()).toBeCloseTo(-300, -1);
    expect(Math.abs(error())).toBeLessThan(1);
    expect(log.some((e) => e.type === "setNow")).toBe(true);
  });

  test("a source that falls silent keeps its worth, its bound growing by 50 ppm", () => {
    const { clock, machine, run, worst } = site();
    machine.ppm = 40;
    clock.report({ id: "a", kind: "ntp", state: "good", detail: "", estimate: machine.estimate(0, 5) });
    run(1000);
    clock.report({ id: "a", kind: "ntp", state: "unreachable", detail: "" });
    run(3_600_000);
    const s = clock.status();
    expect(s.source).toBe("ntp");
    expect(s.boundMs).toBeGreaterThan(5 + 0.05 * 3600 - 1);
    expect(s.sources.find((x) => x.id === "a")).toMatchObject({ state: "inUse" });
    expect(worst()).toBeLessThanOrEqual(0);
  });

  test("a GPS without pulses does not move a good clock within its second of lateness", () => {
    const { clock, machine, run, error, worst } = site();
    // its messages come 100 ms late: the middle of the second is 400 ms off
    for (let k = 0; k < 8; k++) {
      const system = machine.estimate(0, 400);
      clock.report({ id: "system", kind: "system", state: "good", detail: "", estimate: system });
      clock.report({
        id: "gps",
        kind: "gps",
        state: "good",
        detail: "",
        estimate: machine.estimate(400, 501),
      });
      run(3_600_000);
    }
    expect(Math.abs(error())).toBeLessThan(1);
    expect(clock.boundMs()).toBeLessThanOrEqual(1000);
    expect(worst()).toBeLessThanOrEqual(0);
  });

  test("a GPS without pulses that is the only source leaves a phone 0.3 s before the bound is a second", () => {
    const { clock, machine, run, worst } = site();
    for (let k = 0; k < 900; k++) {
      const estimate = machine.estimate(400, 501);
      clock.report({ id: "gps", kind: "gps", state: "good", detail: "", estimate });
      run(1000);
    }
    expect(clock.boundMs()).toBeLessThanOrEqual(710);
    expect(worst()).toBeLessThanOrEqual(0);
  });

  test("a lying GPS is outvoted by two servers, and shown as disagreeing", () => {
    const { clock, machine, run, error } = site();
    for (const id of ["a", "b"])
      clock.report({ id, kind: "ntp", state: "good", detail: "", estimate: machine.estimate(3, 20) });
    const wrong = machine.estimate(-1024 * 7 * 86_400_000, 1);
    clock.report({ id: "gps", kind: "gps", state: "good", detail: "", estimate: wrong });
    run(60_000);
    expect(clock.status()).toMatchObject({ source: "ntp", dispute: null });
    expect(clock.status().sources.find((s) => s.id === "gps")?.state).toBe("disagrees");
    expect(Math.abs(error())).toBeLessThan(20);
  });

  test("a system clock that says nothing of itself contradicts no GPS", () => {
    const machine = new Machine();
    machine.wallError = 5000;
    const { clock, run } = site({ inRealRun: () => false }, machine);
    clock.report({ id: "gps", kind: "gps", state: "good", detail: "", estimate: machine.estimate(0, 500) });
    run(1000);
    expect(clock.status()).toMatchObject({ source: "gps", dispute: null, apartMs: 0 });
  });

  test("GPS against a system that vouches for itself is a dispute, and said by how much", () => {
    const machine = new Machine();
    machine.wallError = 5000;
    const { clock, run } = site({}, machine);
    const system = machine.estimate(5000, 250);
    clock.report({ id: "system", kind: "system", state: "good", detail: "", estimate: system });
    clock.report({ id: "gps", kind: "gps", state: "good", detail: "", estimate: machine.estimate(0, 500) });
    run(1000);
    const { dispute, source, apartMs } = clock.status();
    expect(source).toBe("gps");
    expect(dispute?.ids).toEqual(["system"]);
    expect(dispute?.byMs).toBeCloseTo(5000, -1);
    expect(apartMs).toBe(dispute?.byMs);
  });
});

describe("the system's clock is set", () => {
  test("the eclipse clock does not move, and the lead is asked", () => {
    const { clock, machine, run, error } = site();
    run(10_000);
    const steps: number[] = [];
    clock.on("step", (s) => steps.push(s.step?.byMs ?? 0));
    machine.wallError += 3000;
    run(60_000);
    expect(steps).toEqual([3000]);
    expect(Math.abs(error())).toBeLessThan(2);
    expect(clock.status().step?.byMs).toBeCloseTo(3000, 0);
    expect(clock.status().sources.find((s) => s.id === "system")?.state).toBe("stepped");
  });

  test("refused: the step is taken off the system's clock for good", () => {
    const { clock, machine, run, error } = site();
    run(10_000);
    machine.wallError += 3000;
    run(2000);
    clock.refuseStep();
    run(120_000);
    expect(clock.status().step).toBeNull();
    expect(Math.abs(error())).toBeLessThan(2);
  });

  test("adopted: the clock follows, slewed, and its bound covers what is left", () => {
    const machine = new Machine();
    machine.wallError = -200;
    const { clock, run, error, worst, back } = site({}, machine);
    run(10_000);
    expect(Math.abs(error() + 200)).toBeLessThan(1);
    machine.wallError = 0;
    run(2000);
    expect(Math.abs(error() + 200)).toBeLessThan(1);
    clock.adoptStep();
    run(30_000);
    expect(Math.abs(error())).toBeGreaterThan(150);
    run(1_200_000);
    // what is within a tenth of the bound is left alone
    expect(Math.abs(error())).toBeLessThan(60);
    expect(worst()).toBeLessThanOrEqual(0);
    expect(back()).toBe(0);
  });

  test("adopted: a step of 20 s is followed though nobody knows how good that clock is", () => {
    const machine = new Machine();
    machine.wallError = -20_000;
    const { clock, run, error } = site({}, machine);
    run(2000);
    machine.wallError = 0;
    run(1000);
    expect(clock.status().apartMs).toBeCloseTo(20_000, -1);
    clock.adoptStep();
    run(60_000);
    expect(clock.status().apartMs).toBe(0);
    expect(clock.status().correctionMs).toBeGreaterThan(19_000);
    clock.setNow();
    expect(Math.abs(error())).toBeLessThan(100);
  });

  test("a step after a refused one asks how far both clocks are apart now, and adopting follows the laptop's", () => {
    const { clock, machine, run, error } = site();
    run(2000);
    machine.wallError += 20_000;
    run(1000);
    clock.refuseStep();
    // Something sets the laptop right, but for 300 ms.
    machine.wallError = 300;
    run(1000);
    expect(clock.status().step?.byMs).toBeCloseTo(300, 0);
    clock.adoptStep();
    clock.setNow();
    run(1000);
    expect(error()).toBeGreaterThan(200);
    expect(error()).toBeLessThan(301);
  });

  test("a step that is undone is no longer asked about", () => {
    const { clock, machine, run } = site();
    run(5000);
    machine.wallError += 3000;
    run(2000);
    machine.wallError -= 3000;
    run(2000);
    expect(clock.status().step).toBeNull();
  });
});

describe("the laptop sleeps", () => {
  test("the clock goes on by the uptime, the bound widens, and it is told", () => {
    const { clock, machine, run, error, worst } = site();
    clock.report({ id: "a", kind: "ntp", state: "good", detail: "", estimate: machine.estimate(0, 5) });
    run(5000);
    const before = clock.boundMs();
    const told: number[] = [];
    clock.on("sleep", (s) => told.push(s.slept?.forMs ?? 0));
    machine.sleep(1_800_000);
    machine.wallError = 400; // set from its battery clock
    run(1000);
    expect(told[0]).toBeCloseTo(1_800_000, -2);
    expect(Math.abs(error())).toBeLessThan(60);
    expect(clock.boundMs()).toBeGreaterThan(before + 90);
    expect(clock.status().step).toBeNull();
    expect(worst()).toBeLessThanOrEqual(0);
  });

  test("a system clock that comes out of it by up to a second otherwise is known worse by that", () => {
    const { clock, machine, run, worst } = site();
    const system = machine.estimate(0, 5);
    clock.report({ id: "system", kind: "system", state: "good", detail: "", estimate: system });
    run(5000);
    machine.sleep(600_000);
    machine.wallError = 900;
    run(3_600_000);
    expect(clock.status().step).toBeNull();
    expect(worst()).toBeLessThanOrEqual(0);
  });

  test("a fresh fix ends the doubt; without one the lead may", () => {
    const { clock, machine, run } = site();
    run(1000);
    machine.sleep(60_000);
    run(1000);
    expect(clock.status().slept).not.toBeNull();
    clock.report({ id: "gps", kind: "gps", state: "good", detail: "", estimate: machine.estimate(0, 2) });
    expect(clock.status().slept).toBeNull();
    machine.sleep(60_000);
    run(1000);
    clock.acknowledgeSleep();
    expect(clock.status().slept).toBeNull();
  });

  test("a restart of the hub forgets neither the sleep nor its bound", () => {
    const first = site();
    // A system clock that vouches for itself: what it says of its bound knows nothing of the sleep.
    const system = () =>
      ({
        id: "system",
        kind: "system",
        state: "good",
        detail: "",
        estimate: first.machine.estimate(0, 5),
      }) as const;
    first.clock.report(system());
    first.run(5000);
    first.machine.sleep(600_000);
    first.run(1000);
    const { slept } = first.clock.status();
    const bound = first.clock.boundMs();
    expect(slept?.forMs).toBeCloseTo(600_000, -2);
    const saved = JSON.parse(JSON.stringify(first.clock.save()));
    first.machine.run(2000);
    first.machine.restartProgram();
    const second = site({ saved }, first.machine);
    second.clock.report(system());
    second.run(1000);
    expect(second.clock.status().slept).toEqual(slept);
    expect(second.clock.boundMs()).toBeGreaterThan(bound - 10);
    expect(second.worst()).toBeLessThanOrEqual(0);
    const third = site({ saved: JSON.parse(JSON.stringify(second.clock.save())) }, second.machine);
    expect(third.clock.status().slept).toEqual(slept);
    const fix = third.machine.estimate(0, 2);
    third.clock.report({ id: "gps", kind: "gps", state: "good", detail: "", estimate: fix });
    expect(third.clock.status().slept).toBeNull();
    // After a restart of the machine its sleep says nothing any more.
    third.machine.restartProgram();
    const rebooted = site({ saved: { ...saved, uptimeMs: saved.uptimeMs + 1e9 } }, third.machine);
    expect(rebooted.clock.status().slept).toBeNull();
  });
});

describe("set by hand", () => {
  test("marks against a watch are averaged and followed when nothing better is there", () => {
    const machine = new Machine();
    machine.wallError = 90_000; // a laptop a minute and a half off
    const { clock, run, error, worst } = site({ inRealRun: () => false }, machine);
    for (const late of [-30, 20, -10, 40, 5]) {
      machine.run(10_000);
      clock.setAtMark(utcMs(machine.utc + late));
    }
    run(2000);
    expect(clock.status()).toMatchObject({ source: "hand" });
    expect(Math.abs(error())).toBeLessThan(60);
    expect(clock.boundMs()).toBeLessThan(350);
    expect(clock.marks).toHaveLength(5);
    expect(worst()).toBeLessThanOrEqual(0);
    clock.clearMarks();
    expect(clock.marks).toHaveLength(0);
  });
});

describe("the hub is started anew", () => {
  test("it goes on from what it saved: same time, bound a little wider, refused steps and marks kept", () => {
    const first = site();
    first.clock.report({
      id: "gps",
      kind: "gps",
      state: "good",
      detail: "",
      estimate: first.machine.estimate(0, 2),
    });
    first.run(2000);
    first.machine.wallError += 7000;
    first.run(2000);
    first.clock.refuseStep();
    first.clock.setAtMark(first.machine.utc);
    const saved = JSON.parse(JSON.stringify(first.clock.save()));
    first.machine.run(3000);
    first.machine.restartProgram();
    const second = site({ saved, epoch: "u" }, first.machine);
    second.run(2000);
    expect(Math.abs(second.error())).toBeLessThan(2);
    expect(second.clock.boundMs()).toBeLessThan(8);
    expect(second.clock.marks).toHaveLength(1);
    expect(second.clock.stamp().course.epoch).toBe("u");
    expect(second.worst()).toBeLessThanOrEqual(0);
  });

  test("marks keep their age over a restart of the hub, and end with one of the machine", () => {
    const first = site();
    first.clock.setAtMark(first.machine.utc);
    first.run(10 * 3_600_000);
    const saved = JSON.parse(JSON.stringify(first.clock.save()));
    first.machine.run(3_600_000);
    first.machine.restartProgram();
    const second = site({ saved }, first.machine);
    second.run(1000);
    expect(second.clock.marks).toHaveLength(1);
    const hand = second.clock.status().sources.find((s) => s.id === "hand");
    // One mark is half a second; 50 ppm of eleven hours: 1980 ms.
    expect(hand?.boundMs).toBeCloseTo(500 + 1980, -2);
    const rebooted = site({ saved: { ...saved, uptimeMs: saved.uptimeMs + 1e9 } }, second.machine);
    rebooted.run(1000);
    expect(rebooted.clock.marks).toHaveLength(0);
    expect(rebooted.clock.boundMs()).toBeGreaterThanOrEqual(600_000);
  });

  test("wrong marks can be forgotten after a restart, too", () => {
    const first = site({ inRealRun: () => false });
    first.clock.setAtMark(utcMs(first.machine.utc + 60_000));
    first.run(1000);
    const saved = JSON.parse(JSON.stringify(first.clock.save()));
    first.machine.run(2000);
    first.machine.restartProgram();
    const second = site({ saved, inRealRun: () => false }, first.machine);
    second.run(1000);
    expect(second.error()).toBeCloseTo(60_000, -2);
    second.clock.clearMarks();
    second.run(1000);
    expect(Math.abs(second.error())).toBeLessThan(100);
    expect(second.clock.status()).toMatchObject({ source: "system" });
    expect(second.clock.boundMs()).toBeGreaterThanOrEqual(600_000);
  });

  test("marks and a clock of an earlier program are not better known than they were", () => {
    const first = site();
    first.run(1000);
    const { setAside: _, ...saved } = JSON.parse(JSON.stringify(first.clock.save()));
    const early = { ...saved, v: 1, boundMs: 500, marks: [-1e6] };
    first.machine.run(2000);
    first.machine.restartProgram();
    for (const [kind, least] of [
      ["system", 600_000],
      ["hand", 500],
    ] as const) {
      const second = site({ saved: { ...early, kind } }, first.machine);
      second.run(1000);
      expect(second.clock.boundMs()).toBeGreaterThan(least);
      expect(second.clock.boundMs()).toBeLessThan(least + 100);
      expect(second.worst()).toBeLessThanOrEqual(0);
    }
  });

  test("a refused step is forgotten with a restart of the machine: its clock may have been set since", () => {
    const first = site();
    first.run(1000);
    first.machine.wallError += 20_000;
    first.run(1000);
    first.clock.refuseStep();
    const saved = first.clock.save();
    first.machine.wallError = 0;
    first.machine.restartProgram();
    const rebooted = site({ saved: { ...saved, uptimeMs: saved.uptimeMs + 1e9 } }, first.machine);
    rebooted.run(1000);
    expect(Math.abs(rebooted.error())).toBeLessThan(2);
  });

  test("a saved clock that is not whole is passed over", () => {
    for (const saved of [null, "x", {}, { v: 1, atWallMs: Number.NaN }, { v: 3 }]) {
      const { clock, run, error } = site({ saved });
      run(1000);
      expect(Math.abs(error())).toBeLessThan(1);
      expect(clock.status().source).toBe("system");
    }
  });

  test("a wall clock that was set while the hub was down does not move it", () => {
    const first = site();
    first.run(2000);
    const saved = first.clock.save();
    first.machine.run(5000);
    first.machine.wallError += 4000;
    first.machine.restartProgram();
    const second = site({ saved }, first.machine);
    second.run(2000);
    expect(Math.abs(second.error())).toBeLessThan(30);
    expect(second.clock.status().step?.byMs).toBeCloseTo(4000, -2);
    expect(second.worst()).toBeLessThanOrEqual(0);
    const third = site({ saved: second.clock.save() }, second.machine);
    expect(third.clock.status().step?.byMs).toBeCloseTo(4000, -2);
    third.clock.refuseStep();
    third.run(2000);
    expect(Math.abs(third.error())).toBeLessThan(30);
  });
});

test("stamp gives time, bound and course of the same instant", () => {
  const { clock, run } = site();
  run(1000);
  const s = clock.stamp();
  expect(s.utcMs).toBe(clock.now());
  expect(s.utcMs).toBeGreaterThan(EPOCH);
  expect(s.boundMs).toBe(clock.boundMs());
  expect(s.course.untilUtcMs).toBeGreaterThan(s.utcMs);
});

test("a change is told when what a person sees has changed, and not otherwise", () => {
  const { clock, machine, run } = site();
  run(1000);
  let told = 0;
  clock.on("change", () => told++);
  run(10_000);
  expect(told).toBe(0);
  machine.wallError += 500;
  run(500);
  expect(told).toBe(1);
});
