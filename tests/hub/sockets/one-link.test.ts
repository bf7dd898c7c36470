/** One rig's link, in the hands of somebody who wants to freeze everybody: what comes of it. */
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { LinkLimits, MOST_SOCKETS } from "../../../hub/sockets/link-limits.ts";
import { DEVICES_MOST } from "../../../shared/run/facts/fact-bounds.ts";
import { LUXOR_PLAN, startTestHub, type TestHub } from "../../support/test-hub.ts";
import { until } from "../../support/until.ts";
import { closeClients, connect, factOf, leadHello, rigHello } from "./raw-client.ts";

let hub: TestHub;
let token: string;

beforeEach(async () => {
  hub = await startTestHub();
  token = await hub.signIn();
  const saved = await hub.call("PUT", "/api/plan", LUXOR_PLAN, token, { "If-Match": '"plan-0"' });
  expect(saved.status).toBe(200);
});
afterEach(async () => {
  closeClients();
  await hub.stop();
  expect(hub.errors).toEqual([]);
});

const sizeOfState = () => JSON.stringify(hub.parts.keeper.state).length;
const ofLink = (deviceId: string) => ({ ...rigHello(hub, "west"), deviceId });
const codes = (answers: any[]) => answers.map((answer) => (answer.ok ? "ok" : answer.refusal.code));

describe("fifty facts with sixty made-up checks each, again and again", () => {
  it("leave the state as small as it was; each is taken, and marked", async () => {
    const loud = connect(hub, rigHello(hub, "west"));
    const calm = connect(hub, rigHello(hub, "wide"));
    expect(await loud.door).toBeUndefined();
    expect(await calm.door).toBeUndefined();
    await until("both have joined", () => Object.keys(hub.parts.keeper.state.devices).length === 2);
    const before = sizeOfState();
    for (let round = 0; round < 4; round++) {
      const made = Array.from({ length: 50 }, (_, n) => {
        const checks = Array.from({ length: 60 }, (_, k) => [`made-up-${round}-${n}-${k}`, true]);
        return factOf("west", { checks: Object.fromEntries(checks), cueDone: `made-up-${round}-${n}` });
      });
      expect(new Set(codes(await loud.ask("facts", made)))).toEqual(new Set(["ok"]));
    }
    expect(sizeOfState() - before).toBeLessThan(10_000);
    const [last] = [...hub.parts.log.read()].slice(-1);
    expect(last?.payload).toEqual({ rigId: "west", flags: ["check unknown", "cue left out"] });
    expect(calm.socket.connected).toBe(true);
    expect(codes(await calm.ask("facts", [factOf("wide", { help: true })]))).toEqual(["ok"]);
  });
});

describe("a link that sends far more than any person does", () => {
  it("is told to wait, loses nothing, holds up nobody else, and the lead sees which it is", async () => {
    const lead = connect(hub, leadHello(token));
    const loud = connect(hub, rigHello(hub, "west"));
    const calm = connect(hub, rigHello(hub, "wide"));
    for (const one of [lead, loud, calm]) expect(await one.door).toBeUndefined();
    const answers: any[] = [];
    for (let batch = 0; batch < 20; batch++)
      answers.push(
        ...(await loud.ask(
          "facts",
          Array.from({ length: 20 }, () => factOf("west", { batteryPct: 1 })),
        )),
      );
    const taken = codes(answers).filter((code) => code === "ok").length;
    expect(taken).toBeGreaterThanOrEqual(300);
    const refused = answers.filter((answer) => !answer.ok);
    expect(refused.length).toBeGreaterThan(50);
    for (const { refusal } of refused)
      expect(refusal).toMatchObject({ code: "too-many", data: { retryAfterMs: 2000 } });
    expect(codes(await calm.ask("facts", [factOf("wide", { batteryPct: 2 })]))).toEqual(["ok"]);
    const noisy = () => hub.parts.alerts.standing().filter(({ cause }) => cause === "link-noisy");
    await until("the lead is told", () => noisy().length > 0);
    expect(noisy()).toMatchObject([{ priority: "caution", rigId: "west" }]);
    await until("on the lead's screen", () => JSON.stringify(lead.heard.alerts ?? []).includes("link-noisy"));

    const report = { id: "late", atUtcMs: Date.now(), batteryPct: 5 };
    const old = hub.parts.keys.rigToken("west", 0);
    let http = await hub.call("POST", "/api/rigs/west/reports", report, old);
    for (let n = 0; n < 200 && http.status === 200; n++)
      http = await hub.call("POST", "/api/rigs/west/reports", report, old);
    expect(http).toMatchObject({
      status: 429,
      body: { error: { code: "too-many", data: { retryAfterMs: 2000 } } },
    });
    expect(http.headers.get("retry-after")).toBe("2");

    const made = await hub.call("POST", "/api/rigs/west/link", undefined, token);
    expect(await loud.closed).toBeTruthy();
    await until("the alert is gone", () => noisy().length === 0);
    const next = await hub.call("POST", "/api/rigs/west/reports", report, made.body.token);
    expect(next.status).toBe(200);
  });

  it("gets an answer to what it sends too fast over one socket, and is cut off when it goes on", async () => {
    const loud = connect(hub, rigHello(hub, "west"));
    expect(await loud.door).toBeUndefined();
    const asked = Array.from({ length: 100 }, () => loud.ask("facts", [factOf("west", { batteryPct: 1 })]));
    const all = (await Promise.all(asked)).map((answers) => codes(answers ?? [])[0]);
    expect(all.filter((code) => code === "ok")).toHaveLength(60);
    expect(all.filter((code) => code === "too-many")).toHaveLength(40);
    const flood = setInterval(() => {
      for (let n = 0; n < 100; n++) loud.socket.emit("pulse", { nonsense: n });
    }, 200);
    const why = await loud.closed;
    clearInterval(flood);
    expect(why).toBe("io server disconnect");
  }, 30_000);

  it("is cut off at once when it sends megabytes", async () => {
    const loud = connect(hub, rigHello(hub, "west"));
    expect(await loud.door).toBeUndefined();
    for (let n = 0; n < 20; n++) loud.socket.emit("facts", [{ id: "big", fact: "x".repeat(200_000) }]);
    expect(await loud.closed).toBeTruthy();
    expect((await hub.call("GET", "/api/health")).status).toBe(200);
  });
});

describe("devices that one link brings", () => {
  it("are written down up to a number", async () => {
    for (let n = 0; n < DEVICES_MOST + 10; n++) {
      const phone = connect(hub, ofLink(`made-up-${n}`));
      expect(await phone.door).toBeUndefined();
      await until("it is in", () => phone.heard.state !== undefined || phone.heard.events !== undefined);
      phone.socket.disconnect();
    }
    await until("all have left", () => hub.parts.presence.socketsOf("west") === 0);
    expect(Object.keys(hub.parts.keeper.state.devices)).toHaveLength(DEVICES_MOST);
  });

  it("are linked up to a number: one more is told to wait, and another rig's phone comes in", async () => {
    const phones = Array.from({ length: MOST_SOCKETS }, (_, n) => connect(hub, ofLink(`made-up-${n}`)));
    for (const phone of phones) expect(await phone.door).toBeUndefined();
    await until("all are in", () => hub.parts.presence.socketsOf("west") === MOST_SOCKETS);
    const refused = await connect(hub, ofLink("one-more")).door;
    expect(refused?.data).toMatchObject({ code: "too-many", data: { retryAfterMs: expect.any(Number) } });
    expect(await connect(hub, rigHello(hub, "wide")).door).toBeUndefined();
    expect(await connect(hub, rigHello(hub, "west", "wide")).door).toBeUndefined();
  });
});

describe("limits of a link", () => {
  const world = () => {
    let now = 0;
    const limits = new LinkLimits(() => now);
    const pass = (ms: number): void => {
      now += ms;
    };
    const reports = (count: number, revoked = false) =>
      Array.from({ length: count }, () => limits.report("west", revoked)).filter((waitMs) => waitMs === 0)
        .length;
    return { limits, pass, reports };
  };

  it("let a phone deliver what it had queued for hours, then ten reports a second for good", () => {
    const { limits, pass, reports } = world();
    expect(reports(300)).toBe(300);
    expect(limits.report("west", false)).toBe(2000);
    for (let n = 0; n < 100; n++) {
      pass(2000);
      expect(reports(20)).toBe(20);
    }
    expect(limits.noisyRigs()).toEqual([]);
    expect(limits.report("wide", false)).toBe(0);
  });

  it("call a link noisy that goes on although it is told to wait, until it has been calm for a minute", () => {
    const { limits, pass, reports } = world();
    reports(340);
    expect(limits.noisyRigs()).toEqual([]);
    reports(20);
    expect(limits.noisyRigs()).toEqual(["west"]);
    pass(59_000);
    expect(limits.noisyRigs()).toEqual(["west"]);
    pass(2000);
    expect(limits.noisyRigs()).toEqual([]);
  });

  it("of a revoked link are its own, and nobody is told of them", () => {
    const { limits, reports } = world();
    expect(reports(500, true)).toBe(100);
    expect(limits.noisyRigs()).toEqual([]);
    expect(limits.report("west", false)).toBe(0);
  });
});
