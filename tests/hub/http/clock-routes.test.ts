/** The lead's routes of the hub's clock, on a hub that runs as it is started, kept over a restart. */
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, afterEach, beforeAll, describe, expect, it } from "vitest";
import { type RunningHub, runHub } from "../../../hub/run-hub.ts";
import { closeClients, connect, leadHello } from "../sockets/raw-client.ts";

const PIN = "271828";
const folder = mkdtempSync(join(tmpdir(), "noonfall-clock-"));
const errors: unknown[] = [];
let running: RunningHub;
let token: string;
let url: string;

async function start(): Promise<void> {
  running = await runHub(
    { port: 0, host: "127.0.0.1", dataDir: folder, leadPin: PIN, demo: false, tls: undefined },
    {
      pagesDir: "/nonexistent",
      version: "test",
      onRestore: () => undefined,
      onError: (error) => errors.push(error),
    },
  );
  url = `http://127.0.0.1:${running.port}`;
}
async function call(method: string, path: string, body?: unknown, as: string | null = token) {
  const response = await fetch(`${url}${path}`, {
    method,
    headers: { "Content-Type": "application/json", ...(as && { Authorization: `Bearer ${as}` }) },
    ...(body !== undefined && { body: JSON.stringify(body) }),
  });
  return { status: response.status, body: (await response.json()) as any };
}
const setAside = (deviceId: unknown, yes: unknown = true) =>
  call("POST", "/api/clock/witnesses", { deviceId, setAside: yes });

/** A console that says its own clock is so far ahead of the hub's. */
async function says(ownClockOffsetMs: number): Promise<void> {
  const hello = { ...leadHello(token), deviceId: "tablet-1", label: "tablet" };
  const client = connect({ url } as never, hello);
  expect(await client.door).toBeUndefined();
  client.socket.emit("pulse", { boundMs: 4, utcBoundMs: 300, armed: true, ownClockOffsetMs });
  expect(await client.ask("probe", { t1: 0 })).toBeDefined();
}
const row = async () =>
  (await call("GET", "/api/clock")).body.witnesses.devices.find((one: any) => one.deviceId === "tablet-1");

beforeAll(async () => {
  await start();
  token = (await call("POST", "/api/lead/session", { pin: PIN }, null)).body.token;
});
afterEach(() => closeClients());
afterAll(async () => {
  await running.close();
  rmSync(folder, { recursive: true, force: true });
  expect(errors).toEqual([]);
});

describe("POST /api/clock/witnesses", () => {
  it("is a lead's alone, and described", async () => {
    expect((await call("POST", "/api/clock/witnesses", {}, null)).status).toBe(401);
    const { paths } = (await call("GET", "/api/openapi.json")).body;
    expect(paths["/api/clock/witnesses"].post.security).toEqual([{ lead: [] }]);
    expect(paths["/api/clock/witnesses"].post.summary).toContain("aside");
  });

  it.each([
    [{}, "deviceId"],
    [{ deviceId: "", setAside: true }, "deviceId"],
    [{ deviceId: 5, setAside: true }, "deviceId"],
    [{ deviceId: "tablet-1", setAside: "yes" }, "setAside"],
    [{ deviceId: "tablet-1", setAside: true, more: 1 }, "more"],
  ])("refuses %j and names the field", async (body, field) => {
    const answer = await call("POST", "/api/clock/witnesses", body);
    expect(answer).toMatchObject({ status: 400, body: { error: { code: "bad-input", field } } });
  });

  it.each(["nobody", "constructor", "__proto__"])("does not know the device %s", async (deviceId) => {
    for (const yes of [true, false]) {
      const { status, body } = await setAside(deviceId, yes);
      expect([400, 404]).toContain(status);
      expect(body.error.field).toBe("deviceId");
    }
    expect((await setAside("nobody")).body.error).toMatchObject({ code: "not-found" });
  });

  it("sets a device aside until it is taken back, over a restart, with a line in the log for each", async () => {
    await says(90_000);
    expect((await call("GET", "/api/clock")).body.apartMs).toBeGreaterThan(90_000);
    expect(await row()).toMatchObject({ label: "tablet", standing: "disagrees" });
    const { status, body } = await setAside("tablet-1");
    expect(status).toBe(200);
    expect(body.apartMs).toBe(0);
    closeClients();
    await running.close();
    await start();
    expect(await row()).toMatchObject({ label: "tablet", ageS: null, standing: "set aside" });
    await says(90_100);
    expect((await call("GET", "/api/clock")).body.apartMs).toBe(0);
    expect((await setAside("tablet-1", false)).body.apartMs).toBeGreaterThan(90_000);
    const noted = async () =>
      (await call("GET", "/api/log.json")).body.events
        .filter((event: any) => event.type === "clockNoted" && event.payload.detail.deviceId === "tablet-1")
        .map((event: any) => event.payload.note);
    expect(await noted()).toEqual(["witnessSetAside", "witnessCounted"]);
  });

  it("ends by itself when the device's clock is set, also for the next start", async () => {
    await says(90_000);
    await setAside("tablet-1");
    await says(60_000);
    expect((await row()).standing).toBe("disagrees");
    closeClients();
    await running.close();
    await start();
    expect(await row()).toBeUndefined();
  });
});
