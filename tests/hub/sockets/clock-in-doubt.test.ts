/** S5 through the front door: phones whose own clocks contradict the hub's, by what they send. */
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { PROTOCOL } from "../../../shared/protocol/version.ts";
import { utcMs } from "../../../shared/time/instants.ts";
import { LUXOR_PLAN, startTestHub, type TestHub } from "../../support/test-hub.ts";
import { until } from "../../support/until.ts";
import { closeClients, connect, leadHello, rigHello } from "./raw-client.ts";

let hub: TestHub;
let token: string;

async function start(system?: "synchronised" | "silent"): Promise<void> {
  hub = await startTestHub(undefined, 0, system);
  token = await hub.signIn();
  const saved = await hub.call("PUT", "/api/plan", LUXOR_PLAN, token, { "If-Match": '"plan-0"' });
  expect(saved.status).toBe(200);
}
afterEach(async () => {
  closeClients();
  await hub.stop();
  expect(hub.errors).toEqual([]);
});

const pulse = (ownClockOffsetMs: number) => ({ boundMs: 4, utcBoundMs: 300, armed: true, ownClockOffsetMs });
/** A phone at a rig that says by how much its own clock is ahead of the hub's. */
async function phone(deviceId: string, ownClockOffsetMs: number) {
  const client = connect(hub, { ...rigHello(hub, "west"), deviceId, label: "Android phone" });
  expect(await client.door).toBeUndefined();
  client.socket.emit("pulse", pulse(ownClockOffsetMs));
  await until(`${deviceId} is heard`, () =>
    hub.clock.status().witnesses.devices.some((one) => one.deviceId === deviceId && one.ageS !== null),
  );
  return client;
}
const causes = async () =>
  (await hub.call("GET", "/api/run", undefined, token)).body.alerts.map(
    (one: { cause: string }) => one.cause,
  );

describe("a hub whose laptop is synchronised", () => {
  beforeEach(() => start());

  it("is disputed by one phone that says 90 s, by that figure, to leads and to every phone", async () => {
    const other = await phone("good", 40);
    expect(await other.ask("probe", { t1: 0 })).toMatchObject({ disputed: false, apartMs: 0 });
    await phone("fast", 90_000);
    await until("the alert stands", () =>
      hub.parts.alerts.standing().some((one) => one.cause === "clock-disputed"),
    );
    expect(await causes()).toContain("clock-disputed");
    const answer = await other.ask("probe", { t1: 0 });
    expect(answer).toMatchObject({ disputed: true, slept: false });
    expect(answer.apartMs).toBeGreaterThanOrEqual(90_000);
    expect(answer.apartMs).toBeLessThan(90_200);
    const board = connect(hub, { role: "board", protocol: PROTOCOL });
    expect(await board.ask("probe", { t1: 0 })).toMatchObject({ disputed: true });
  });

  it("is not, when three others agree with it; nor when the lead has set the one aside", async () => {
    await phone("fast", 90_000);
    for (const [id, by] of [
      ["a", -120],
      ["b", 60],
      ["c", 10],
    ] as const)
      await phone(id, by);
    await until("it is outvoted", () => !hub.parts.alerts.clockHealth().disputed);
    expect(hub.clock.status().witnesses.devices.find((one) => one.deviceId === "fast")).toMatchObject({
      label: "Android phone",
      standing: "outvoted",
    });
    await phone("slow", -3000);
    await phone("slower", -3100);
    await phone("slowest", -2900);
    await until("three of one mind are not", () => hub.parts.alerts.clockHealth().disputed);
    for (const id of ["slow", "slower", "slowest"]) hub.clock.setWitnessAside(id);
    await until("they are set aside", () => !hub.parts.alerts.clockHealth().disputed);
  });

  it("hears no console on its own machine that repeats the machine's clock, but one that does not", async () => {
    const lead = connect(hub, { ...leadHello(token), deviceId: "console" });
    expect(await lead.door).toBeUndefined();
    lead.socket.emit("pulse", pulse(0));
    // What comes after it on the same connection, so that silence means something.
    expect(await lead.ask("probe", { t1: 0 })).toBeDefined();
    expect(hub.clock.status().witnesses.devices).toEqual([]);
    lead.socket.emit("pulse", pulse(90_000));
    expect(await lead.ask("probe", { t1: 0 })).toBeDefined();
    expect(hub.clock.status().witnesses.devices).toMatchObject([{ standing: "disagrees" }]);
  });
});

describe("a hub whose laptop says nothing of its clock", () => {
  beforeEach(() => start("silent"));

  it("does not know UTC, and says so to anyone: longer than any totality", async () => {
    const { body } = await hub.call("GET", "/api/health");
    // 7.5 min: the longest totality there can be, Meeus (from memory) 7 min 32 s.
    expect(body.clock).toMatchObject({ source: "system" });
    expect(body.clock.boundMs).toBeGreaterThan(452_000);
    const board = connect(hub, { role: "board", protocol: PROTOCOL });
    expect((await board.ask("probe", { t1: 0 })).hubBoundMs).toBeGreaterThan(452_000);
    await until("the lead is told", () =>
      hub.parts.alerts.standing().some((one) => one.cause === "clock-bound"),
    );
  });

  it("knows it when three phones of one mind agree, or when the lead sets it by a watch", async () => {
    for (const [id, by] of [
      ["a", -120],
      ["b", 60],
      ["c", 10],
    ] as const)
      await phone(id, by);
    await until("phones narrow it", () => hub.clock.boundMs() < 1000);
    for (const id of ["a", "b", "c"]) hub.clock.setWitnessAside(id);
    expect((await hub.call("GET", "/api/health")).body.clock.boundMs).toBeGreaterThan(452_000);
    hub.clock.setAtMark(hub.clock.now());
    expect((await hub.call("GET", "/api/health")).body.clock).toMatchObject({ source: "hand" });
    expect((await hub.call("GET", "/api/health")).body.clock.boundMs).toBeLessThan(1000);
  });

  it("set otherwise by hand, is not disputed by a page on its own machine, but by a phone", async () => {
    hub.clock.setAtMark(utcMs(hub.clock.now() + 90_000));
    hub.clock.setNow();
    const own = connect(hub, { ...rigHello(hub, "west"), deviceId: "own" });
    expect(await own.door).toBeUndefined();
    own.socket.emit("pulse", pulse(hub.clock.ownClockOffsetMs()));
    expect(await own.ask("probe", { t1: 0 })).toMatchObject({ disputed: false });
    expect(hub.clock.status()).toMatchObject({ apartMs: 0, witnesses: { devices: [] } });
    await phone("other", -50_000);
    expect(hub.clock.status().apartMs).toBeCloseTo(50_004, -1);
  });
});
