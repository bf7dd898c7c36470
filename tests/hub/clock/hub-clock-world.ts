/** A hub's clock on a machine that a test moves, watched for its promise: |error| ≤ bound. */
import { HubClock, type HubClockOptions } from "../../../hub/clock/hub-clock.ts";
import type { ClockLogEntry } from "../../../hub/clock/hub-clock-status.ts";
import { Machine } from "./machine.ts";

export function site(options: Partial<HubClockOptions> = {}, machine = new Machine()) {
  const clock = new HubClock({ ports: machine.ports, epoch: "t", ...options });
  const log: ClockLogEntry[] = [];
  clock.on("log", (e) => log.push(e));
  let worst = 0;
  let back = 0;
  let last = 0;
  /** Lets the machine run, ticking twice a second; checks bound and order all along. */
  const run = (ms: number) => {
    for (let t = 0; t < ms; t += 500) {
      machine.run(500);
      clock.tick();
      const error = Math.abs(clock.now() - machine.utc);
      worst = Math.max(worst, error - clock.boundMs());
      if (clock.now() < last) back++;
      last = clock.now();
    }
  };
  const error = () => clock.now() - machine.utc;
  return { clock, machine, log, run, error, worst: () => worst, back: () => back };
}
