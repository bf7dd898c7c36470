/** A relay's clock where nobody can be asked: its promise |error| ≤ bound, and that it comes to know the time. */
import { expect, test } from "vitest";
import { RelayClock } from "../../../hub/relay/relay-clock.ts";
import { Machine, ScriptedSource } from "../clock/machine.ts";

function relay(machine: Machine, sources: ScriptedSource[]) {
  const clock = new RelayClock({ ports: machine.ports, epoch: "relay", sources });
  clock.start();
  const run = (ms: number): void => {
    for (let t = 0; t < ms; t += 500) {
      machine.run(500);
      clock.tick();
    }
  };
  return { clock, run, error: () => Math.abs(clock.now() - machine.utc) };
}

test("a relay that was up before its machine heard of the time follows it then, and its boards are told", () => {
  const machine = new Machine();
  machine.wallError = -90_000;
  const system = new ScriptedSource("system", "system");
  const { clock, run, error } = relay(machine, [system]);
  run(5000);
  expect(clock.boundMs()).toBeGreaterThan(60_000);
  // The machine's network time sets it by a step, as at every start, and then vouches for it.
  machine.wallError = 0;
  run(1000);
  system.say("good", machine.estimate(0, 5));
  run(5000);
  expect(error()).toBeLessThanOrEqual(clock.boundMs());
  expect(clock.boundMs()).toBeLessThan(100);
  clock.stop();
});

test("one step more, of a machine that was right before, is in the bound until that clock vouches for itself again", () => {
  const machine = new Machine();
  const system = new ScriptedSource("system", "system");
  const { clock, run, error } = relay(machine, [system]);
  system.say("good", machine.estimate(0, 5));
  run(5000);
  expect(clock.boundMs()).toBeLessThan(100);
  machine.wallError = 4000;
  for (let s = 0; s < 120; s++) {
    run(1000);
    expect(error()).toBeLessThanOrEqual(clock.boundMs());
  }
  clock.stop();
});

test("a relay upstream that lies about the time, and says that it is sure, moves no board: the bound holds both", () => {
  for (const lieMs of [-30_000, 30_000, -2000, 600]) {
    const machine = new Machine();
    const system = new ScriptedSource("system", "system");
    const upstream = new ScriptedSource("upstream", "ntp");
    const { clock, run, error } = relay(machine, [system, upstream]);
    system.say("good", machine.estimate(0, 250));
    upstream.say("good", machine.estimate(lieMs, 0));
    run(5000);
    expect(error()).toBeLessThanOrEqual(clock.boundMs());
    clock.stop();
  }
});
