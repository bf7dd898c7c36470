/**
 * The door for leads under attack, through a real server on loopback. Addresses of the network are
 * played by 127.0.0.2 and on: only who knocks from the hub's own address is on its machine.
 */
import { request } from "node:http";
import { connect as connectNet } from "node:net";
import { afterAll, afterEach, beforeAll, describe, expect, it } from "vitest";
import { CODE_LIFE_MS, EntryCodes } from "../../../hub/site/entry-codes.ts";
import { LUXOR_PLAN, PIN, startTestHub, type TestHub } from "../../support/test-hub.ts";
import { closeClients, connect, factOf, leadHello, rigHello } from "../sockets/raw-client.ts";

let hub: TestHub;
let token: string;

beforeAll(async () => {
  hub = await startTestHub();
  token = await hub.signIn();
  await hub.call("PUT", "/api/plan", LUXOR_PLAN, token, { "If-Match": '"plan-0"' });
});
afterEach(() => closeClients());
afterAll(async () => {
  await hub.stop();
  expect(hub.errors).toEqual([]);
});

const port = () => Number(new URL(hub.url).port);

interface Said {
  status: number;
  body: any;
  retryAfter: string | undefined;
}

/** Signs in from another address. */
function knock(from: string, body: unknown): Promise<Said> {
  return new Promise((resolve, reject) => {
    const sent = request(
      {
        host: "127.0.0.1",
        port: port(),
        path: "/api/lead/session",
        method: "POST",
        localAddress: from,
        agent: false,
        headers: { "Content-Type": "application/json" },
      },
      (response) => {
        let text = "";
        response.on("data", (chunk) => {
          text += chunk;
        });
        response.on("end", () =>
          resolve({
            status: response.statusCode ?? 0,
            body: JSON.parse(text),
            retryAfter: response.headers["retry-after"],
          }),
        );
      },
    );
    sent.on("error", reject);
    sent.end(JSON.stringify(body));
  });
}

/** So many sign-ins in one write on one connection; the statuses of the answers. */
function pipelined(from: string, count: number): Promise<number[]> {
  const body = JSON.stringify({ pin: "000000" });
  const one = [
    "POST /api/lead/session HTTP/1.1",
    `Host: 127.0.0.1:${port()}`,
    "Content-Type: application/json",
    `Content-Length: ${body.length}`,
    "",
    body,
  ].join("\r\n");
  return new Promise((resolve) => {
    let text = "";
    const statuses = () => [...text.matchAll(/HTTP\/1\.1 (\d+)/g)].map((match) => Number(match[1]));
    const socket = connectNet({ port: port(), host: "127.0.0.1", localAddress: from }, () =>
      socket.write(one.repeat(count)),
    );
    socket.on("data", (chunk) => {
      text += chunk.toString("latin1");
      if (statuses().length === count) socket.destroy();
    });
    socket.on("error", () => undefined);
    socket.on("close", () => resolve(statuses()));
  });
}

describe("a thousand sign-ins in one write", () => {
  it("are counted before they are looked at, and nobody else waits for them", async () => {
    const phone = connect(hub, rigHello(hub, "west"));
    expect(await phone.door).toBeUndefined();
    const lead = connect(hub, leadHello(token));
    expect(await lead.door).toBeUndefined();
    const flood = pipelined("127.0.0.66", 1000);
    await new Promise((resolve) => setTimeout(resolve, 50));
    const answers = await phone.ask("facts", [factOf("west", { cardFreeGB: 9 })]);
    const statuses = await flood;
    expect(answers).toMatchObject([{ ok: true }]);
    expect(statuses).toHaveLength(1000);
    expect(statuses.filter((status) => status === 401).length).toBeLessThanOrEqual(5);
    expect(statuses.filter((status) => status === 429).length).toBeGreaterThanOrEqual(995);
    // Looked at one after another they took 20 s, and rigs that hear nothing for 4 s are cut off.
    expect((await hub.call("GET", "/api/plan", undefined, token)).status).toBe(200);
  });

  it("leave the PIN's door open to the hub's own laptop meanwhile", async () => {
    const flood = pipelined("127.0.0.67", 300);
    expect((await knock("127.0.0.1", { pin: PIN })).status).toBe(200);
    await flood;
  });
});

describe("a hundred wrong PINs from twenty addresses", () => {
  it("keep the network out for a while, and the hub's own laptop not", async () => {
    for (let n = 0; n < 20; n++) {
      const tries = Array.from({ length: 5 }, () => knock(`127.0.1.${n + 1}`, { pin: "000000" }));
      await Promise.all(tries);
    }
    const elsewhere = await knock("127.0.2.1", { pin: PIN });
    expect(elsewhere).toMatchObject({ status: 429, body: { error: { code: "too-many" } } });
    expect(Number(elsewhere.retryAfter)).toBe(elsewhere.body.error.data.waitS);
    const here = await knock("127.0.0.1", { pin: PIN, name: "Ada" });
    expect(here.status).toBe(200);
    expect((await hub.call("GET", "/api/plan", undefined, here.body.token)).status).toBe(200);
  });

  it("do not keep out who has a lead's one-time code", async () => {
    expect((await knock("127.0.2.2", { pin: PIN })).status).toBe(429);
    const made = await hub.call("POST", "/api/lead/code", undefined, token);
    expect(made.status).toBe(201);
    expect(made.body.code).toMatch(/^\d{8}$/);
    expect(made.body.url).toBe(`${hub.url}/lead#code/${made.body.code}`);
    expect(made.body.endsAtUtcMs - Date.now()).toBeGreaterThan(60_000);
    const entered = await knock("127.0.2.2", { code: made.body.code, name: "Ben" });
    expect(entered.status).toBe(200);
    expect((await hub.call("GET", "/api/plan", undefined, entered.body.token)).status).toBe(200);
    const again = await knock("127.0.2.3", { code: made.body.code });
    expect(again).toMatchObject({ status: 401, body: { error: { field: "code" } } });
  });
});

describe("a one-time code", () => {
  it("is made by leads alone", async () => {
    expect((await hub.call("POST", "/api/lead/code")).status).toBe(401);
  });

  it("guessed again and again makes its address wait", async () => {
    const statuses: number[] = [];
    for (let n = 0; n < 12; n++) statuses.push((await knock("127.0.3.1", { code: "00000000" })).status);
    expect(statuses).toEqual([...Array(10).fill(401), 429, 429]);
  });

  it("is good for a few minutes, once, and not after very many wrong ones", () => {
    let now = 0;
    const codes = new EntryCodes(() => now);
    const first = codes.make();
    expect(codes.take(first)).toBe(true);
    expect(codes.take(first)).toBe(false);
    const second = codes.make();
    now += CODE_LIFE_MS - 1;
    const third = codes.make();
    now += 1;
    expect(codes.take(second)).toBe(false);
    expect(codes.take(third)).toBe(true);
    const fourth = codes.make();
    for (let n = 0; n < 1000; n++) codes.take("");
    expect(codes.take(fourth)).toBe(false);
    expect(codes.take(codes.make())).toBe(true);
  });
});

describe("the form of a sign-in", () => {
  it.each([
    [{}, "pin"],
    [{ pin: PIN, code: "12345678" }, "pin"],
    [{ pin: "12" }, "pin"],
    [{ code: "123" }, "code"],
    [{ pin: PIN, colour: "red" }, "colour"],
  ])("%j is refused, naming %s", async (body, field) => {
    expect(await hub.call("POST", "/api/lead/session", body)).toMatchObject({
      status: 400,
      body: { error: { code: "bad-input", field } },
    });
  });

  it("has at most a kilobyte", async () => {
    const long = { pin: PIN, name: "x".repeat(2000) };
    expect(await hub.call("POST", "/api/lead/session", long)).toMatchObject({
      status: 413,
      body: { error: { code: "too-large", field: "body" } },
    });
  });
});
