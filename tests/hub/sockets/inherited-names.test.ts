/** Ids that name what every object inherits, and bugs in one corner: neither ends the hub. */
import { afterEach, beforeEach, describe, expect, it, vi } from "vitest";
import { MemoryLog } from "../../../hub/log/memory-log.ts";
import type { Fact, Order } from "../../../shared/run/orders/commands.ts";
import { LUXOR_PLAN, startTestHub, type TestHub } from "../../support/test-hub.ts";
import { until } from "../../support/until.ts";
import { closeClients, connect, factOf, rigHello } from "./raw-client.ts";

// ECMA-262, 20.1.3: names that every plain object answers to.
const NAMES = ["constructor", "toString", "__proto__", "valueOf"];

let hub: TestHub;
let token: string;

beforeEach(async () => {
  hub = await startTestHub();
  token = await hub.signIn();
  await hub.call("PUT", "/api/plan", LUXOR_PLAN, token, { "If-Match": '"plan-0"' });
});
afterEach(async () => {
  closeClients();
  vi.restoreAllMocks();
  await hub.stop();
});

describe("an id that every object answers to", () => {
  it.each(NAMES)("as a phone's id (%s) is refused at the door by its field", async (deviceId) => {
    const phone = connect(hub, { ...rigHello(hub, "west"), deviceId });
    expect((await phone.door)?.data).toMatchObject({ code: "bad-input", field: "deviceId" });
    expect((await hub.call("GET", "/api/health")).status).toBe(200);
    expect(hub.errors).toEqual([]);
  });

  it("as a rig's id is refused with the plan's field, and the hub goes on", async () => {
    const [first, second] = LUXOR_PLAN.rigs;
    const plan = { ...LUXOR_PLAN, rigs: [first, { ...second, id: "constructor" }] };
    const saved = await hub.call("PUT", "/api/plan", plan, token, { "If-Match": '"plan-1"' });
    expect(saved).toMatchObject({ status: 400, body: { error: { code: "bad-input", field: "rigs.1.id" } } });
    expect((await hub.call("GET", "/api/run", undefined, token)).status).toBe(200);
    expect(hub.errors).toEqual([]);
  });

  it.each(NAMES)("as the run a report names (%s) is refused; what came beside it is taken", async (runId) => {
    const phone = connect(hub, rigHello(hub, "west"));
    expect(await phone.door).toBeUndefined();
    const good = factOf("west", { batteryPct: 50 });
    expect(await phone.ask("facts", [factOf("west", { help: true }, { runId }), good])).toMatchObject([
      { ok: false, refusal: { code: "bad-input", field: "runId" } },
      { ok: true },
    ]);
  });

  it("in a log from before is a name like any other: the hub starts with it and shows its rig", async () => {
    const log = new MemoryLog();
    const old = await startTestHub(log);
    const { keeper } = old.parts;
    const rigs = [{ ...LUXOR_PLAN.rigs[0], id: "constructor", cues: undefined }];
    const draft = { ...LUXOR_PLAN, rigs, revision: 0, limb: false, acknowledged: [] };
    const saved = await keeper.order("lead:a", "lead:Ada", "old-plan", {
      type: "savePlan",
      draft: {
        ...draft,
        site: { ...LUXOR_PLAN.site, zone: "", placeBoundM: 50, confirmed: true, skyline: [] },
      },
      ifRevision: 0,
    } as unknown as Order);
    expect(saved).toMatchObject({ ok: true });
    const fact = { v: 1, rigId: "constructor", runId: "toString", deviceSeq: 1, observedUtcMs: Date.now() };
    const from = { sender: "device:1", actor: "rig:constructor", deviceId: "valueOf", linkRevoked: false };
    const named = { ...fact, boundMs: null, report: { filter: "off", cueDone: "valueOf" } } as Fact;
    expect(await keeper.fact(from, "one", named)).toMatchObject({ ok: true });
    expect(await keeper.fact(from, "two", { ...named, runId: null })).toMatchObject({ ok: true });
    const ids = [...log.read()].filter((event) => event.type === "rigReported").map((event) => event.runId);
    expect(ids).toEqual(["toString", "real-2027-08-02"]);
    expect(old.errors).toEqual([]);
    const again = await startTestHub(log);
    const session = await again.signIn();
    const run = await again.call("GET", "/api/run", undefined, session);
    expect(run.body.rigs).toMatchObject([{ id: "constructor", filterSaid: "off", linked: false }]);
    expect(again.errors).toEqual([]);
    await again.stop();
  });
});

describe("a bug in one corner", () => {
  it("in letting one phone in sends that one away; the others are let in and the bug is told", async () => {
    const calm = connect(hub, rigHello(hub, "wide"));
    await until("the calm one is in", () => calm.heard.state !== undefined);
    vi.spyOn(hub.parts.presence, "join").mockImplementationOnce(() => {
      throw new TypeError("a bug at the door");
    });
    const unlucky = connect(hub, rigHello(hub, "west"));
    expect(await unlucky.closed).toBe("io server disconnect");
    expect(hub.errors).toMatchObject([{ message: "a bug at the door" }]);
    expect(await calm.ask("facts", [factOf("wide", { help: true })])).toMatchObject([{ ok: true }]);
    const again = connect(hub, rigHello(hub, "west"));
    await until("let in", () => again.heard.state !== undefined);
  });

  it("in taking one message costs that message alone", async () => {
    const phone = connect(hub, rigHello(hub, "west"));
    await until("in", () => phone.heard.state !== undefined);
    vi.spyOn(hub.parts.presence, "pulse").mockImplementationOnce(() => {
      throw new TypeError("a bug in pulses");
    });
    phone.socket.emit("pulse", { boundMs: 1, utcBoundMs: 1, armed: true, ownClockOffsetMs: null });
    await until("told", () => hub.errors.length > 0);
    expect(await phone.ask("facts", [factOf("west", { help: true })])).toMatchObject([{ ok: true }]);
  });

  it("in looking for alerts is told once, and alerts come again when it is gone", async () => {
    const broken = vi.spyOn(hub.parts.presence, "get").mockImplementation(() => {
      throw new TypeError("a bug in presence");
    });
    for (let n = 0; n < 3; n++) hub.parts.alerts.check();
    expect(hub.errors).toMatchObject([{ message: "a bug in presence" }]);
    broken.mockRestore();
    const rig = (await hub.call("GET", "/api/rigs/west/link", undefined, token)).body.token;
    await hub.call("POST", "/api/rigs/west/reports", { id: "h", atUtcMs: Date.now(), help: true }, rig);
    await until("the alert", () => hub.parts.alerts.standing().some((alert) => alert.cause === "help"));
  });
});
