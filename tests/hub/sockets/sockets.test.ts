/** The sockets: who is let in, what a bad message does, and to whom. */
import { afterAll, afterEach, beforeAll, describe, expect, it } from "vitest";
import { PROTOCOL } from "../../../shared/protocol/version.ts";
import { LUXOR_PLAN, startTestHub, type TestHub } from "../../support/test-hub.ts";
import { until } from "../../support/until.ts";
import { closeClients, connect, factOf, leadHello, rigHello } from "./raw-client.ts";

let hub: TestHub;
let token: string;

beforeAll(async () => {
  hub = await startTestHub();
  token = await hub.signIn();
  const saved = await hub.call("PUT", "/api/plan", LUXOR_PLAN, token, { "If-Match": '"plan-0"' });
  expect(saved.status).toBe(200);
});
afterEach(() => closeClients());
afterAll(async () => {
  await hub.stop();
  expect(hub.errors).toEqual([]);
});

const reports = () =>
  [...hub.parts.log.read()].filter((event) => event.type === "rigReported").map((event) => event.commandId);

describe("at the door", () => {
  it.each<[string, () => unknown, string, string | undefined]>([
    ["nothing", () => ({}), "bad-input", "role"],
    ["an unknown role", () => ({ role: "king", protocol: PROTOCOL }), "bad-input", "role"],
    ["no protocol", () => ({ role: "board" }), "bad-input", "protocol"],
    ["an older protocol", () => ({ role: "board", protocol: PROTOCOL - 1 }), "protocol", undefined],
    ["a newer protocol", () => ({ ...rigHello(hub, "west"), protocol: PROTOCOL + 1 }), "protocol", undefined],
    ["a guessed session", () => leadHello("guess"), "not-signed-in", undefined],
    ["no rig", () => ({ ...rigHello(hub), rigs: [] }), "bad-input", "rigs"],
    ["a field nobody knows", () => ({ role: "board", protocol: PROTOCOL, x: 1 }), "bad-input", "x"],
    ["a number for an id", () => ({ ...rigHello(hub, "west"), deviceId: 5 }), "bad-input", "deviceId"],
  ])("%s is refused, saying what is wrong", async (_what, auth, code, field) => {
    const error = await connect(hub, auth()).door;
    expect(error?.data).toMatchObject({ code, ...(field && { field }) });
    expect(error?.message).toBeTruthy();
  });

  it("a page of another origin is not let in, nor one that names another host", async () => {
    const board = { role: "board", protocol: PROTOCOL };
    expect(await connect(hub, board, { Origin: "http://evil.example" }).door).toBeInstanceOf(Error);
    expect(await connect(hub, board, { Host: "evil.example" }).door).toBeInstanceOf(Error);
    expect(await connect(hub, board, { Origin: hub.url }).door).toBeUndefined();
  });

  it("a rig's link does not open the lead's door", async () => {
    const [rig] = rigHello(hub, "west").rigs;
    expect((await connect(hub, leadHello(rig?.token ?? "")).door)?.data?.code).toBe("not-signed-in");
  });

  it("a phone with one good link and one bad one comes in for the good one", async () => {
    const hello = rigHello(hub, "west", "wide");
    const phone = connect(hub, { ...hello, rigs: [hello.rigs[0], { id: "wide", token: "guess" }] });
    await until("welcome", () => phone.heard.welcome !== undefined);
    expect(phone.heard.welcome?.[0]).toMatchObject({
      rigIds: ["west"],
      refused: [{ rigId: "wide", reason: "bad link" }],
    });
  });
});

describe("what may be said", () => {
  it("a board learns the board, and is not heard", async () => {
    const board = connect(hub, { role: "board", protocol: PROTOCOL });
    await until("a board", () => board.heard.board !== undefined);
    expect(await board.ask("facts", [factOf("west", { filter: "off" })])).toBeUndefined();
    expect(await board.ask("order", { id: "b", order: { type: "cover" } })).toBeUndefined();
    expect(hub.parts.keeper.state.cover).toBeNull();
    expect(Object.keys(board.heard).sort()).toEqual(["board", "welcome"]);
    const text = JSON.stringify(board.heard);
    for (const { operator } of LUXOR_PLAN.rigs.map((rig) => ({ operator: "", ...rig }))) {
      if (operator) expect(text).not.toContain(operator);
    }
  }, 20_000);

  it("a rig gives no orders and does not speak for another", async () => {
    const phone = connect(hub, rigHello(hub, "west"));
    expect(await phone.door).toBeUndefined();
    expect(await phone.ask("order", { id: "r", order: { type: "cover" } })).toBeUndefined();
    expect(hub.parts.keeper.state.cover).toBeNull();
    const other = factOf("wide", { help: true });
    expect(await phone.ask("facts", [other])).toMatchObject([
      { ok: false, refusal: { code: "not-allowed", field: "rigId" } },
    ]);
    expect(reports()).not.toContain(other.id);
  });

  it("a malformed fact is refused by its field; the good ones beside it are taken, in order", async () => {
    const phone = connect(hub, rigHello(hub, "west"));
    const batch = [
      factOf("west", { batteryPct: 50 }),
      factOf("west", { batteryPct: 500 }),
      factOf("west", { batteryPct: 49 }, { v: 7 }),
      factOf("west", { batteryPct: 48 }),
    ];
    expect(await phone.ask("facts", batch)).toMatchObject([
      { ok: true },
      { ok: false, refusal: { code: "bad-input", field: "report.batteryPct" } },
      { ok: false, refusal: { code: "bad-input", field: "v" } },
      { ok: true },
    ]);
    expect(reports().slice(-2)).toEqual([batch[0]?.id, batch[3]?.id]);
  });

  it.each([
    ["facts", "not a list"],
    ["facts", []],
    ["facts", [{ id: 5 }]],
    ["facts", Array.from({ length: 51 }, () => factOf("west", { help: true }))],
  ])("%s that are none (%j) are refused whole", async (event, message) => {
    const before = hub.parts.log.lastSeq();
    const phone = connect(hub, rigHello(hub, "west"));
    expect(await phone.door).toBeUndefined();
    const joined = hub.parts.log.lastSeq();
    expect(await phone.ask(event, message)).toMatchObject([{ ok: false, refusal: { code: "bad-input" } }]);
    expect(reports().length).toBe(
      [...hub.parts.log.read()].filter((item) => item.type === "rigReported" && item.seq <= joined).length,
    );
    expect(before).toBeLessThanOrEqual(joined);
  });

  it("a malformed order is refused by its field", async () => {
    const lead = connect(hub, leadHello(token));
    expect(await lead.ask("order", { id: "x", order: { type: "call", call: "lunch" } })).toMatchObject({
      ok: false,
      refusal: { code: "bad-input", field: "order.call" },
    });
    expect(await lead.ask("order", { order: { type: "cover" } })).toMatchObject({ refusal: { field: "id" } });
    expect(await lead.ask("order", null)).toMatchObject({ refusal: { code: "bad-input" } });
  });

  it("events nobody knows, and known ones without what they need, do no harm", async () => {
    const phone = connect(hub, rigHello(hub, "west"));
    expect(await phone.door).toBeUndefined();
    for (const [event, ...data] of [
      ["dance", { a: 1 }],
      ["__proto__", "x"],
      ["constructor"],
      ["facts"],
      ["facts", [factOf("west", { help: true })]],
      ["probe"],
      ["probe", "now"],
      ["pulse", { armed: "yes" }],
      ["resync"],
      ["resync", { seq: "all" }],
      ["resync", { seq: -5 }],
      ["resync", { seq: 1e12 }],
    ] as [string, ...unknown[]][]) {
      phone.socket.emit(event, ...data);
    }
    const { t2, t3 } = await phone.ask("probe", { t1: 1 });
    expect(t3).toBeGreaterThanOrEqual(t2);
    // Every resync of nonsense is answered with the whole state.
    await until("states", () => (phone.heard.state?.length ?? 0) >= 4);
    expect((await hub.call("GET", "/api/health")).status).toBe(200);
  });

  it("an oversized message ends its sender's connection and nobody else's", async () => {
    const loud = connect(hub, rigHello(hub, "west"));
    const calm = connect(hub, rigHello(hub, "wide"));
    expect(await loud.door).toBeUndefined();
    expect(await calm.door).toBeUndefined();
    const last = hub.parts.log.lastSeq();
    loud.socket.emit("facts", [{ id: "big", fact: "x".repeat(300_000) }], () => undefined);
    expect(await loud.closed).toBeTruthy();
    expect(calm.socket.connected).toBe(true);
    expect(await calm.ask("facts", [factOf("wide", { cardFreeGB: 5 })])).toMatchObject([{ ok: true }]);
    await until("the event", () => hub.parts.log.lastSeq() > last);
    expect(reports()).not.toContain("big");
    const back = connect(hub, rigHello(hub, "west"));
    expect(await back.door).toBeUndefined();
  });

  it("a flood is dropped for its sender alone", async () => {
    const loud = connect(hub, rigHello(hub, "west"));
    const calm = connect(hub, rigHello(hub, "wide"));
    expect(await loud.door).toBeUndefined();
    for (let n = 0; n < 200; n++) loud.socket.emit("pulse", { nonsense: n });
    expect(await loud.ask("order", {})).toMatchObject({ ok: false, refusal: { code: "too-many" } });
    expect(await calm.ask("facts", [factOf("wide", { cardFreeGB: 4 })])).toMatchObject([{ ok: true }]);
    await new Promise((resolve) => setTimeout(resolve, 1100));
    expect(await loud.ask("facts", [factOf("west", { cardFreeGB: 4 })])).toMatchObject([{ ok: true }]);
  });
});

describe("two leads", () => {
  it("see each other's orders; the plan is saved by the first, the second is told", async () => {
    const other = await hub.signIn();
    const ada = connect(hub, leadHello(token));
    const ben = connect(hub, { ...leadHello(other), deviceId: "tablet" });
    expect(await ada.door).toBeUndefined();
    await until("ben's state", () => ben.heard.state !== undefined);
    const { revision } = hub.parts.keeper.state.plan;
    const save = (group: string) => ({
      type: "savePlan",
      draft: { ...LUXOR_PLAN, group },
      ifRevision: revision,
    });
    const [one, two] = await Promise.all([
      ada.ask("order", { id: "save", order: save("Ada's") }),
      ben.ask("order", { id: "save", order: save("Ben's") }),
    ]);
    expect([one.ok, two.ok].sort()).toEqual([false, true]);
    const lost = one.ok ? two : one;
    expect(lost.refusal).toMatchObject({ code: "stale-plan", data: { revision: revision + 1 } });
    expect(hub.parts.keeper.state.plan.group).toBe(one.ok ? "Ada's" : "Ben's");
    await until("both see it", () =>
      [ada, ben].every((lead) => JSON.stringify(lead.heard.events ?? []).includes("sitePlanned")),
    );
  });

  it("one who signs out is sent away, the other stays", async () => {
    const leaving = await hub.signIn();
    const stays = connect(hub, leadHello(token));
    const goes = connect(hub, { ...leadHello(leaving), deviceId: "tablet" });
    expect(await goes.door).toBeUndefined();
    expect(await stays.door).toBeUndefined();
    expect((await hub.call("DELETE", "/api/lead/session", undefined, leaving)).status).toBe(204);
    expect(await goes.closed).toBeTruthy();
    expect(stays.socket.connected).toBe(true);
    expect((await connect(hub, leadHello(leaving)).door)?.data?.code).toBe("not-signed-in");
  });

  it("one at work is not thrown out by however many sign-ins of others", async () => {
    const lead = connect(hub, leadHello(token));
    await until("in", () => lead.heard.state !== undefined);
    const session = hub.parts.keys.session(token);
    for (let n = 0; n < 250; n++)
      hub.parts.keys.openSession("other", n, (hash) => hub.parts.sockets.isAtWork(hash));
    expect(hub.parts.sockets.isAtWork(session?.hash ?? "")).toBe(true);
    expect((await hub.call("GET", "/api/plan", undefined, token)).status).toBe(200);
    const gone = await hub.signIn();
    expect((await hub.call("GET", "/api/plan", undefined, gone)).status).toBe(200);
    expect(lead.socket.connected).toBe(true);
    expect((await connect(hub, leadHello(token)).door)?.data).toBeUndefined();
  });

  it("the same order sent twice happens once and is answered the same; another under its id is refused", async () => {
    const lead = connect(hub, leadHello(token));
    const message = { id: "tell", order: { type: "sendMessage", text: "Five minutes.", rigIds: null } };
    const answers = await Promise.all([lead.ask("order", message), lead.ask("order", message)]);
    const again = await lead.ask("order", message);
    expect(answers[1]).toEqual(answers[0]);
    expect(again).toEqual(answers[0]);
    expect(hub.parts.keeper.state.messages.filter((item) => item.text === "Five minutes.")).toHaveLength(1);
    const reused = { ...message, order: { ...message.order, text: "Six minutes." } };
    expect(await lead.ask("order", reused)).toMatchObject({ refusal: { code: "reused-id", field: "id" } });
  });
});
