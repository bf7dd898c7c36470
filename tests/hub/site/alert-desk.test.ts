/** What the hub's clock means for the rules. */
import { describe, expect, it } from "vitest";
import { HubClock } from "../../../hub/clock/hub-clock.ts";
import { machinePorts } from "../../../hub/clock/ports.ts";
import { MemoryLog } from "../../../hub/log/memory-log.ts";
import { clockHealthOf } from "../../../hub/site/alert-desk.ts";
import { doubtAt } from "../../../shared/run/doubt.ts";
import { currentRun } from "../../../shared/run/run-time.ts";
import { utcMs } from "../../../shared/time/instants.ts";
import { SiteWorld } from "../../shared/run/site-world.ts";
import { LUXOR_PLAN, startTestHub } from "../../support/test-hub.ts";
import { SynchronisedSystem } from "../../support/told-system.ts";
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

describe("a hub that has just been started", () => {
  it("tells nobody that it does not know its clock before it has asked, and never when it then knows", async () => {
    const log = new MemoryLog();
    const first = await startTestHub(log);
    await first.call("PUT", "/api/plan", LUXOR_PLAN, await first.signIn(), { "If-Match": '"plan-0"' });
    await first.stop();
    const hub = await startTestHub(log, 0, "silent");
    const told = () => hub.parts.alerts.standing().filter(({ cause }) => cause === "clock-bound");
    await new Promise((resolve) => setTimeout(resolve, 1200));
    expect(clockHealthOf(hub.clock).hubBoundMs).toBeGreaterThan(1000);
    expect(told()).toEqual([]);
    new SynchronisedSystem(machinePorts()).start((word) => hub.clock.report(word));
    hub.clock.tick();
    expect(clockHealthOf(hub.clock).hubBoundMs).toBeLessThan(1000);
    const raised = [...hub.parts.log.read()].filter(({ type }) => type === "alertRaised");
    expect(raised.map(({ payload }) => (payload as { cause: string }).cause)).not.toContain("clock-bound");
    await hub.stop();
    expect(hub.errors).toEqual([]);
  });
});

describe("what comes with time alone", () => {
  it("is seen at the next look although another rig reports all the while (S1)", async () => {
    const hub = await startTestHub();
    const token = await hub.signIn();
    await hub.call("PUT", "/api/plan", LUXOR_PLAN, token, { "If-Match": '"plan-0"' });
    const { keeper, alerts, clock } = hub.parts;
    let n = 0;
    const say = (rigId: string, report: object) =>
      keeper.fact(
        { sender: "test", actor: `rig:${rigId}`, deviceId: `phone-${rigId}`, linkRevoked: false },
        `say-${++n}`,
        { v: 1, rigId, runId: null, deviceSeq: n, observedUtcMs: clock.now(), boundMs: 1, report },
      );
    // S4: a camera's filter is to be on by C3+15 s.
    await hub.call("POST", "/api/practice", { anchor: "C3", offsetS: 13.5, rate: 1 }, token);
    await say("west", { practiceSafe: true, filter: "off", looked: true });
    const chatter = setInterval(() => void say("wide", { batteryPct: n % 100 }), 40);
    const exposed = () => alerts.standing().find(({ id }) => id === "exposed:west");
    const deadline = Date.now() + 15_000;
    while (!exposed() && Date.now() < deadline) await new Promise((resolve) => setTimeout(resolve, 20));
    clearInterval(chatter);
    const { practice } = keeper.state;
    const runMs = (exposed()?.sinceUtcMs ?? Number.NaN) - (practice?.startedUtcMs ?? 0);
    await hub.stop();
    expect(runMs).toBeGreaterThanOrEqual(1500);
    expect(runMs).toBeLessThan(10_000);
    expect(hub.errors).toEqual([]);
  });
});
