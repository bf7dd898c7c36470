/** The demo's site is sound, and its operators behave as their habits say. */
import { afterEach, describe, expect, it } from "vitest";
import { startDemo } from "../../../hub/demo/demo.ts";
import { demoPlan } from "../../../hub/demo/demo-plan.ts";
import type { RunningHub } from "../../../hub/run-hub.ts";
import { Solver } from "../../../hub/solver.ts";
import { localEclipse } from "../../../shared/plan/local-eclipse.ts";
import type { SiteEvent } from "../../../shared/run/events.ts";
import { startTestHub, type TestHub } from "../../support/test-hub.ts";
import { until } from "../../support/until.ts";

const closing: (() => Promise<void>)[] = [];
afterEach(async () => {
  for (const close of closing.splice(0).reverse()) await close();
});

async function demo(): Promise<TestHub> {
  const hub = await startTestHub();
  closing.push(() => hub.stop());
  const running = { hub, port: Number(new URL(hub.url).port), urls: [hub.url] } as unknown as RunningHub;
  const started = await startDemo(running);
  closing.push(() => started.close());
  return hub;
}

describe("the demo's site", () => {
  it.each([2026, 2027.8, 2029, 2031])("is total for some two minutes or more, in %d as well", (year) => {
    const now = Date.UTC(Math.floor(year), Math.round((year % 1) * 12), 1);
    const plan = demoPlan(now);
    const { kind, totalityS, contacts } = localEclipse(
      new Solver().forSite(plan.eclipse ?? "", plan.site as never, false) ?? null,
    );
    expect(kind).toBe("total");
    expect(totalityS).toBeGreaterThan(110);
    expect(totalityS).toBeLessThan(240);
    if (year < 2030) expect(contacts.c1).toBeGreaterThan(now);
  });
});

describe("the demo's operators", () => {
  it("join by real sockets four minutes before C2 and say first what their filters are", async () => {
    const hub = await demo();
    const { keeper, presence, clock } = hub.parts;
    expect(keeper.state.practice).toMatchObject({ anchor: "C2", offsetS: -240, rate: 1 });
    await until("all are linked", () => Object.keys(presence.get().rigs).length === 6);
    const runId = keeper.state.practice?.runId ?? "";
    const words = () => Object.values(keeper.state.runs[runId]?.rigs ?? {});
    await until("all have spoken", () => words().length === 6);
    expect(words().filter((record) => record.practiceSafe?.value)).toHaveLength(6);
    const filters = words().flatMap((record) =>
      Object.values(record.filter.byDevice).map((word) => word.value),
    );
    expect(filters).toEqual(["on", "on", "on", "on", "on"]);
    expect(Object.keys(keeper.state.runs[keeper.state.realRunId]?.rigs ?? {})).toEqual([]);
    expect(clock.now()).toBeLessThan(keeper.state.practice?.endsAtUtcMs ?? 0);
    expect(hub.errors).toEqual([]);
  });

  it("have the hub's own clock and are no witnesses of it (S5)", async () => {
    const hub = await demo();
    const { presence, clock } = hub.parts;
    const heard = () => Object.values(presence.get().rigs).flatMap((devices) => devices ?? []);
    await until("all have told of their clocks", () => {
      return heard().length === 6 && heard().every(({ boundMs }) => boundMs !== null);
    });
    expect(clock.status().witnesses).toMatchObject({ count: 0, devices: [] });
  });

  it("follow a practice of the lead's: one forgets, that is danger, and is then helped", async () => {
    const hub = await demo();
    const { keeper, presence } = hub.parts;
    await until("all are linked", () => Object.keys(presence.get().rigs).length === 6);
    const events: SiteEvent[] = [];
    keeper.on("events", (more) => events.push(...more));
    const token = await hub.signIn();
    const practice = { anchor: "C2", offsetS: -45, rate: 10 };
    expect((await hub.call("POST", "/api/practice", practice, token)).status).toBe(201);
    const danger = (type: "alertRaised" | "alertCleared", rigId: string) =>
      events.some((event) => event.type === type && event.payload.id === `exposed:${rigId}`);
    const deadline = Date.now() + 50_000;
    while (!danger("alertCleared", "tripod") && Date.now() < deadline) {
      await new Promise((resolve) => setTimeout(resolve, 100));
    }
    expect(danger("alertRaised", "tripod")).toBe(true);
    expect(danger("alertCleared", "tripod")).toBe(true);
    // At ten times the speed a machine's pause of a second is ten: whoever was late was not left so.
    for (const rigId of ["east-mount", "video", "robot", "horizon"]) {
      expect(danger("alertRaised", rigId) && !danger("alertCleared", rigId), rigId).toBe(false);
    }
    const did = (rigId: string, cueDone: string) =>
      events.some(
        (event) =>
          event.type === "rigReported" && event.payload.rigId === rigId && event.payload.cueDone === cueDone,
      );
    for (const rigId of ["east-mount", "tripod", "video", "robot", "eyepiece"]) {
      expect(did(rigId, "filter-off"), rigId).toBe(true);
      expect(did(rigId, "filter-on"), rigId).toBe(true);
    }
    // A lead's practice is left alone.
    expect(events.filter((event) => event.type === "practiceStarted")).toHaveLength(1);
  });

  it("obey the cover, and put their filters on when it is released (S7)", async () => {
    const hub = await demo();
    const { keeper, presence } = hub.parts;
    await until("all are linked", () => Object.keys(presence.get().rigs).length === 6);
    const token = await hub.signIn();
    // They take some seconds of the run for it.
    await hub.call("POST", "/api/practice", { anchor: "C2", offsetS: -240, rate: 10 }, token);
    const runId = keeper.state.practice?.runId ?? "";
    const filters = () =>
      Object.values(keeper.state.runs[runId]?.rigs ?? {})
        .flatMap((record) => Object.values(record.filter.byDevice).map((word) => word.value))
        .sort();
    await until("all have spoken", () => filters().length === 5);
    const order = (id: string, type: string) =>
      hub.call("POST", "/api/orders", { id, order: { type } }, token);
    await order("cover", "cover");
    await until("all are capped", () => filters().every((word) => word === "capped"));
    await order("release", "releaseCover");
    await until("all are on", () => filters().every((word) => word === "on"));
  });
});
