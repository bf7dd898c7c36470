/** S7 reaches whoever is there: phones whose links were revoked, and those who come in later. */
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { PROTOCOL } from "../../../shared/protocol/version.ts";
import { EVOLVE_VERSION } from "../../../shared/run/state.ts";
import { LUXOR_PLAN, startTestHub, type TestHub } from "../../support/test-hub.ts";
import { until } from "../../support/until.ts";
import { closeClients, connect, factOf, leadHello, rigHello } from "./raw-client.ts";

let hub: TestHub;
let token: string;

beforeEach(async () => {
  hub = await startTestHub();
  token = await hub.signIn();
  await hub.call("PUT", "/api/plan", LUXOR_PLAN, token, { "If-Match": '"plan-0"' });
});
afterEach(async () => {
  closeClients();
  await hub.stop();
  expect(hub.errors).toEqual([]);
});

const give = (id: string, type: string) =>
  hub.call("POST", "/api/orders", { id, order: { type } }, token).then(({ status }) => status);

describe("a phone whose link was revoked", () => {
  it("hears the cover and its release, finds the latch when it comes in, and learns nothing else", async () => {
    const hello = rigHello(hub, "west");
    await hub.call("POST", "/api/rigs/west/link", undefined, token);
    const phone = connect(hub, hello);
    await until("welcome", () => phone.heard.welcome !== undefined);
    expect(phone.heard.welcome?.[0]).toMatchObject({
      rigIds: [],
      refused: [{ rigId: "west", reason: "revoked" }],
    });
    await until("that none stands", () => phone.heard.coverReleased?.length === 1);
    expect(phone.heard.cover).toBeUndefined();
    expect(await give("c", "cover")).toBe(200);
    await until("the cover", () => phone.heard.cover !== undefined);
    const late = connect(hub, { ...hello, deviceId: "second" });
    await until("the latch", () => late.heard.cover !== undefined);
    expect(await give("r", "releaseCover")).toBe(200);
    await until(
      "the release",
      () => phone.heard.coverReleased?.length === 2 && late.heard.coverReleased?.length === 1,
    );
    await give("m", "endPractice");
    phone.socket.emit("resync", { seq: 0 });
    expect(await phone.ask("facts", [factOf("west", { filter: "on" })])).toMatchObject([{ ok: true }]);
    for (const { heard } of [phone, late])
      expect(Object.keys(heard).sort()).toEqual(["cover", "coverReleased", "welcome"]);
    const after = connect(hub, { ...hello, deviceId: "third" });
    await until("that it was released", () => after.heard.coverReleased !== undefined);
    expect(after.heard.cover).toBeUndefined();
  });
});

describe("whoever comes in while every lens is covered", () => {
  it("is told, also when the log could not take it and they read on from what they have", async () => {
    const { keeper, log } = hub.parts;
    const append = log.append;
    log.append = () => Promise.reject(new Error("the disk is full"));
    expect(await give("c", "cover")).toBe(500);
    const last = { epoch: log.epoch, seq: keeper.state.seq };
    const reader = connect(hub, { ...leadHello(token), last, evolveVersion: EVOLVE_VERSION });
    const board = connect(hub, { role: "board", protocol: PROTOCOL });
    const lead = connect(hub, { ...leadHello(token), deviceId: "tablet" });
    await until("told", () => reader.heard.cover !== undefined && lead.heard.cover !== undefined);
    await until("a board", () => board.heard.board !== undefined);
    expect(reader.heard.state).toBeUndefined();
    expect(board.heard.board?.[0]).toMatchObject({ cover: true });
    expect(lead.heard.state?.[0]).toMatchObject({ state: { cover: { by: "lead:lead" } } });
    log.append = append;
    await until("it is logged", () => [...log.read()].some((event) => event.type === "coverOrdered"));
    hub.errors.length = 0;
  });
});
