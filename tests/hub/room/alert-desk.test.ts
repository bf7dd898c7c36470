/** What the hub's clock means for the rules. */
import { describe, expect, it } from "vitest";
import { HubClock } from "../../../hub/clock/hub-clock.ts";
import { clockHealthOf } from "../../../hub/room/alert-desk.ts";
import { doubtAt } from "../../../shared/run/doubt.ts";
import { currentRun } from "../../../shared/run/run-time.ts";
import { utcMs } from "../../../shared/time/instants.ts";
import { SiteWorld } from "../../shared/run/site-world.ts";
import { Machine } from "../clock/machine.ts";

describe("a step of the laptop's clock", () => {
  it("is a dispute until somebody has said what to make of it (S5)", () => {
    const machine = new Machine();
    const clock = new HubClock({ ports: machine.ports, epoch: "t" });
    const look = () => {
      machine.run(500);
      clock.tick();
      return clockHealthOf(clock);
    };
    expect(look()).toMatchObject({ disputed: false, stepped: false });
    machine.wallError += 4000;
    const health = look();
    expect(health).toMatchObject({ disputed: true, stepped: true });
    const { state } = SiteWorld.planned();
    const now = utcMs(Date.UTC(2027, 6, 25));
    expect(doubtAt(state, currentRun(state, now), health, now).reasons).toContain("clock disputed");
    clock.refuseStep();
    expect(look()).toMatchObject({ disputed: false, stepped: false });
  });
});
