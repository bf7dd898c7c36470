/** A practice programme runs by itself: people who are missing are played, faults come, it is repeated. */
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { openLog } from "../../../hub/log/site-folder.ts";
import { letIn, plainSocket } from "../../../hub/people/plain-socket.ts";
import { clockHealthOf } from "../../../hub/site/alert-desk.ts";
import { PROTOCOL } from "../../../shared/protocol/version.ts";
import type { SiteEvent } from "../../../shared/run/events.ts";
import { isPlayed } from "../../../shared/run/facts/played.ts";
import { viewRun } from "../../../shared/run/views/run-view.ts";
import { asJson } from "../../shared/run/site-world.ts";
import { LUXOR_PLAN, startTestHub, type TestHub } from "../../support/test-hub.ts";
import { until } from "../../support/until.ts";

let hub: TestHub;
let lead: string;
const events: SiteEvent[] = [];
const RIGS = [
  ...LUXOR_PLAN.rigs,
  { id: "tripod", name: "Tripod", kind: "tripod-camera", operator: "Ben", focalLengthMm: 300 },
  { id: "screen", name: "Screen", kind: "projection", operator: "Dee" },
];
const played = ["west", "tripod"];
const state = () => hub.parts.keeper.state;
const now = () => hub.parts.clock.now();
const status = async () => (await hub.call("GET", "/api/practice", undefined, lead)).body;
const start = (programme: object, more: object = {}) =>
  hub.call("POST", "/api/practice", { anchor: "C2", offsetS: -40, rate: 10, ...more, programme }, lead);
const rig = (id: string) =>
  viewRun(state(), hub.parts.presence.get(), clockHealthOf(hub.parts.clock), now()).rigs.find(
    (one) => one.rig.id === id,
  );
const fault = (body: object) => hub.call("POST", "/api/practice/faults", body, lead);
const reports = (runId: string) => events.filter((one) => one.type === "rigReported" && one.runId === runId);

beforeAll(async () => {
  hub = await startTestHub();
  lead = await hub.signIn();
  await hub.call("PUT", "/api/plan", { ...LUXOR_PLAN, rigs: RIGS }, lead);
  hub.parts.keeper.on("events", (more) => events.push(...more));
});
afterAll(async () => {
  await hub.stop();
  expect(hub.errors).toEqual([]);
});

describe("a programme", () => {
  it("is played by simulated operators, repeated, ended with its segment, and leaves the real run alone", async () => {
    const real = asJson(state().runs[state().realRunId]);
    const devices = asJson(state().devices);
    const segment = { until: { anchor: "C2", offsetS: -10 }, repeats: 2, pauseS: 60 };
    const begun = await start({ ...segment, played, safe: ["west"] }, { offsetS: -70 });
    expect(begun.status).toBe(201);
    await until("both have spoken", () => played.every((id) => rig(id)?.filter === "on"));
    expect((await status()).played.sort()).toEqual([...played].sort());
    // S8: the lead's word before the start, and nobody else's.
    expect(rig("west")).toMatchObject({ practiceSafe: true, touchOnly: false });
    expect(rig("tripod")?.practiceSafe).toBe(false);

    await until("the segment is over", () => state().practice === null);
    expect(events.findLast(({ type }) => type === "practiceEnded")?.payload).toMatchObject({
      reason: "segment",
    });
    const { nextAtUtcMs, programme } = await status();
    expect(programme).toBeNull();
    expect(nextAtUtcMs).toBeGreaterThan(now() + 50_000);
    await until("they have left", () => Object.keys(hub.parts.presence.get().rigs).length === 0);
    expect((await hub.call("POST", "/api/practice/next", undefined, lead)).status).toBe(204);
    await until("the second part is on", () => state().practice?.programme?.part === 2);
    expect(state().practice?.runId).not.toBe(begun.body.runId);
    expect((await hub.call("DELETE", "/api/practice", undefined, lead)).status).toBe(204);
    expect((await status()).nextAtUtcMs).toBeNull();

    expect(asJson(state().runs[state().realRunId])).toEqual(real);
    expect(asJson(state().devices)).toEqual(devices);
    const said = reports(begun.body.runId);
    expect(said.length).toBeGreaterThan(3);
    expect(said.every(({ deviceId }) => isPlayed(deviceId))).toBe(true);
    expect(reports(state().realRunId)).toEqual([]);
  });

  it("repeated, is no word that a rig is capped which its own phone has said is not (S8)", async () => {
    const segment = { until: { anchor: "C2", offsetS: -10 }, repeats: 2, pauseS: 60 };
    await start({ ...segment, safe: ["west", "tripod"] });
    const { token } = (await hub.call("GET", "/api/rigs/west/link", undefined, lead)).body;
    const body = { id: "uncapped", atUtcMs: now(), practiceSafe: false };
    expect((await hub.call("POST", "/api/rigs/west/reports", body, token)).status).toBeLessThan(300);
    expect(rig("west")?.practiceSafe).toBe(false);
    await until("the segment is over", () => state().practice === null);
    expect((await hub.call("POST", "/api/practice/next", undefined, lead)).status).toBe(204);
    await until("the second part is on", () => state().practice?.programme?.part === 2);
    expect(state().practice?.programme?.safe).toEqual(["tripod"]);
    expect(rig("west")).toMatchObject({ practiceSafe: false });
    expect(rig("tripod")).toMatchObject({ practiceSafe: true });
    await hub.call("DELETE", "/api/practice", undefined, lead);
  });

  it("goes on after its pause though the hub was started anew in it, and not when it was away for long", async () => {
    const folder = mkdtempSync(join(tmpdir(), "noonfall-practice-"));
    const startAnew = (): Promise<TestHub> => startTestHub(openLog(folder, "site"));
    const repeated = async (hub: TestHub, token: string) => {
      await hub.call("PUT", "/api/plan", { ...LUXOR_PLAN, rigs: RIGS }, token);
      const segment = { until: { anchor: "C2", offsetS: -39 }, repeats: 3, pauseS: 900 };
      await hub.call("POST", "/api/practice", { anchor: "C2", offsetS: -40, programme: segment }, token);
      await until("it has paused", () => hub.parts.practice.status().nextAtUtcMs !== null);
    };
    const first = await startAnew();
    await repeated(first, await first.signIn());
    const { nextAtUtcMs, lastRunId } = first.parts.practice.status();
    await first.stop();
    const second = await startAnew();
    const token = await second.signIn();
    expect((await second.call("GET", "/api/practice", undefined, token)).body).toMatchObject({
      nextAtUtcMs,
      lastRunId,
      next: { part: 2, repeats: 3 },
    });
    await second.call("POST", "/api/practice/next", undefined, token);
    await until("the second part is over", () => second.parts.practice.status().next?.part === 3);
    await second.stop();
    let kept: object | undefined;
    const restartedAfter = async (overdueMs: number) => {
      const log = openLog(folder, "site");
      kept ??= log.getSetting("local:next-repeat") as object;
      log.setSetting("local:next-repeat", { ...kept, atUtcMs: Date.now() - overdueMs });
      const hub = await startTestHub(log);
      await new Promise((resolve) => setTimeout(resolve, 400));
      const part = hub.parts.keeper.state.practice?.programme?.part ?? null;
      const { nextAtUtcMs: at } = hub.parts.practice.status();
      await hub.stop();
      return [part, at];
    };
    expect(await restartedAfter(6 * 60_000)).toEqual([null, null]);
    expect(await restartedAfter(60_000)).toEqual([3, null]);
    expect([...first.errors, ...second.errors]).toEqual([]);
    rmSync(folder, { recursive: true });
  });

  it("lets a simulated operator go when the person comes", async () => {
    await start({ played });
    await until("both are there", async () => (await status()).played.length === 2);
    const { token } = (await hub.call("GET", "/api/rigs/west/link", undefined, lead)).body;
    const phone = plainSocket(hub.url, {
      role: "rig",
      protocol: PROTOCOL,
      deviceId: "adas-phone",
      rigs: [{ id: "west", token }],
    });
    await letIn(phone);
    await until("one is left", async () => (await status()).played.join() === "tripod");
    phone.disconnect();
    await hub.call("DELETE", "/api/practice", undefined, lead);
  });

  it("that begins after a projection should be capped has it capped at once by who plays it (S12)", async () => {
    await start({ played: ["screen"] }, { offsetS: -50, rate: 4 });
    const capped = () =>
      events.some(
        ({ type, payload }) => type === "rigReported" && "cueDone" in payload && payload.rigId === "screen",
      );
    await until("it is capped", capped);
    const standing = () => hub.parts.alerts.standing().map(({ id }) => id);
    await until("nobody is told any more", () => !standing().includes("not-capped:screen"));
    const { contacts, runNow } = viewRun(
      state(),
      hub.parts.presence.get(),
      clockHealthOf(hub.parts.clock),
      now(),
    );
    expect(runNow).toBeLessThan(contacts.c2 ?? 0);
    await hub.call("DELETE", "/api/practice", undefined, lead);
  });

  it("names what is wrong in it", async () => {
    const refused = [
      [{ played: ["nobody"] }, "programme.played"],
      [{ safe: ["nobody"] }, "programme.safe"],
      [{ repeats: 3 }, "programme.until"],
      [{ until: { anchor: "C2", offsetS: -60 } }, "programme.until"],
      [{ faults: [{ kind: "rain", anchor: "C2", offsetS: 0 }] }, "programme.faults.0.kind"],
    ] as const;
    for (const [programme, field] of refused) {
      const { status: code, body } = await start(programme);
      expect([400, 404], field).toContain(code);
      expect(body.error.field).toBe(field);
    }
    expect((await fault({ kind: "cloud" })).status).toBe(409);
    expect((await hub.call("POST", "/api/practice/next", undefined, lead)).status).toBe(409);
  });
});

describe("a fault", () => {
  beforeAll(async () => {
    await start(
      { played, safe: ["west"], faults: [{ kind: "cloud", anchor: "C2", offsetS: -592, forS: 1 }] },
      { offsetS: -600, rate: 1 },
    );
    await until("both have spoken", () => played.every((id) => rig(id)?.filter === "on"));
  });

  it("cuts links off, and a cover ends it at once (S7)", async () => {
    expect((await fault({ kind: "hub gone", forS: 100 })).status).toBe(201);
    await until("they are gone", () => Object.keys(hub.parts.presence.get().rigs).length === 0);
    await hub.call("POST", "/api/orders", { id: "cover", order: { type: "cover" } }, lead);
    await until("they are back", () => Object.keys(hub.parts.presence.get().rigs).length === 2);
    // Whoever comes back late must find the cover, too.
    expect((await fault({ kind: "hub gone" })).body.error).toMatchObject({ code: "safety-rule", rule: "S7" });
    await hub.call("POST", "/api/orders", { id: "release", order: { type: "releaseCover" } }, lead);
    const { faults } = await status();
    expect(faults.find(({ kind }: { kind: string }) => kind === "hub gone")).toMatchObject({ on: false });
  });

  it("fills a card, loads a phone again, brings a contact forward, in this run alone", async () => {
    await fault({ kind: "card full", rigIds: ["west"], forS: 60 });
    await until("it is said", () => hub.parts.alerts.standing().some(({ id }) => id === "card-full:west"));
    await fault({ kind: "phone reload", rigIds: ["tripod"] });
    await until("it is back", () => hub.parts.presence.get().rigs.tripod?.length === 1);
    await fault({ kind: "contact early" });
    const runId = state().practice?.runId ?? "";
    await until("C2 is earlier", () => state().runs[runId]?.shifts.c2 === -3000);
    expect(state().runs[state().realRunId]?.shifts).toEqual({});
    const thrown = events.filter(({ type, runId: of }) => type === "practiceFault" && of === runId);
    const kinds = thrown.map(({ payload }) => (payload as { kind: string }).kind);
    expect(kinds).toEqual(expect.arrayContaining(["hub gone", "card full", "phone reload", "contact early"]));
  });

  it("of a clock is a doubt in this run alone, until a lead has compared", async () => {
    const runId = state().practice?.runId ?? "";
    const causes = () => hub.parts.alerts.standing().map(({ cause }) => cause);
    const view = () => viewRun(state(), hub.parts.presence.get(), clockHealthOf(hub.parts.clock), now());
    const before = asJson(hub.parts.clock.status().step);
    for (const [rigIds, cause] of [
      [null, "clock-stepped"],
      [["west"], "clock-disputed"],
    ] as const) {
      expect((await fault({ kind: "clock stepped", rigIds, forS: 100 })).status).toBe(201);
      await until("it is said", () => causes().includes(cause));
      expect(view().doubt.reasons).toContain("clock disputed");
      expect(view().doubt.byS).toBeGreaterThanOrEqual(4);
      const over = await hub.call("POST", "/api/practice/faults/over", { kind: "clock stepped" }, lead);
      expect(over.body.faults.at(-1)).toMatchObject({ kind: "clock stepped", on: false });
      await until("it is over", () => !causes().includes(cause));
      expect(view().doubt.reasons).not.toContain("clock disputed");
    }
    const again = await hub.call("POST", "/api/practice/faults/over", { kind: "clock stepped" }, lead);
    expect(again.body.error).toMatchObject({ code: "no-practice", field: "kind" });
    expect(asJson(hub.parts.clock.status().step)).toEqual(before);
    const thrown = events.filter(({ type, runId: of }) => type === "practiceFault" && of === runId);
    expect(thrown.filter(({ payload }) => (payload as { over?: true }).over)).toHaveLength(2);
  });

  it("that is planned comes when it is due, and goes", async () => {
    const runId = state().practice?.runId ?? "";
    const variants = () => events.filter(({ type, runId: of }) => type === "variantChosen" && of === runId);
    await until("it came and went", () => variants().length === 2);
    expect(variants().map(({ payload }) => (payload as { variant: string }).variant)).toEqual([
      "overcast",
      "clear",
    ]);
    expect(state().runs[state().realRunId]?.variant.site).toBe("clear");
    await hub.call("DELETE", "/api/practice", undefined, lead);
  });

  it("has nobody to strike where nobody is", async () => {
    await start({ until: { anchor: "C2", offsetS: 60 } });
    expect((await fault({ kind: "operator missing" })).body.error).toMatchObject({ field: "kind" });
    expect((await fault({ kind: "cloud", rigIds: ["nobody"] })).body.error).toMatchObject({
      field: "rigIds",
    });
    await hub.call("DELETE", "/api/practice", undefined, lead);
  });
});
