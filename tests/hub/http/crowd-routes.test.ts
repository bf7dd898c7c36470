/** The crowd's settings: where the public finds the board, and who may show it in a frame (CSP level 3, 6.4.2). */
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { startTestHub, type TestHub } from "../../support/test-hub.ts";

let hub: TestHub;
let token: string;
beforeAll(async () => {
  hub = await startTestHub();
  token = await hub.signIn();
});
afterAll(() => hub.stop());

const ancestors = async (path: string) =>
  /frame-ancestors ([^;]*)/.exec(
    (await hub.call("GET", path)).headers.get("Content-Security-Policy") ?? "",
  )?.[1];

describe("the crowd, for leads", () => {
  it("is a lead's affair", async () => {
    expect((await hub.call("GET", "/api/crowd")).status).toBe(401);
    expect((await hub.call("PUT", "/api/crowd", { embed: [], address: null })).status).toBe(401);
  });

  it("says that nothing goes out while no broker was named, and nobody shows the board in a frame", async () => {
    const { body } = await hub.call("GET", "/api/crowd", undefined, token);
    expect(body).toEqual({
      key: hub.parts.boardKey,
      publish: null,
      relays: 0,
      boards: 0,
      lastHeardMs: null,
      embed: [],
      address: null,
    });
    expect(await ancestors("/board")).toBe("'none'");
  });

  it("lets named hosts show the board, and it alone; relays hear of them in what is signed", async () => {
    const set = { embed: ["https://observatory.example.org"], address: "https://board.example.org" };
    const { status, body } = await hub.call("PUT", "/api/crowd", set, token);
    expect([status, body]).toMatchObject([200, set]);
    expect(await ancestors("/board")).toBe("https://observatory.example.org");
    expect(await ancestors("/lead")).toBe("'self'");
    expect((await hub.call("GET", "/api/board")).body.embed).toEqual(set.embed);
    await hub.call("PUT", "/api/crowd", { embed: [], address: null }, token);
    expect(await ancestors("/board")).toBe("'none'");
  });

  it("names the field of what is no host", async () => {
    for (const host of [
      "*",
      "https://*.a.org",
      "https://a.org/path",
      "https://a.org; script-src *",
      "https://a.org 'unsafe-inline'",
      "https://...",
      "https://-a.org",
      "https://a..org",
      "https://a.org:99999",
      "https://a.org:0",
      "https://lead@a.org",
      "javascript:1",
      "",
    ]) {
      const { status, body } = await hub.call("PUT", "/api/crowd", { embed: [host], address: null }, token);
      expect([status, body.error.field]).toEqual([400, "embed.0"]);
    }
    const { body } = await hub.call(
      "PUT",
      "/api/crowd",
      { embed: [], address: "https://a.org/board" },
      token,
    );
    expect(body.error.field).toBe("address");
  });

  it("takes hosts of every usual form", async () => {
    const embed = [
      "http://192.168.1.20:8080",
      "https://xn--mnchen-3ya.example",
      "http://localhost:3000",
      "https://a-b.example.org:65535",
    ];
    expect((await hub.call("PUT", "/api/crowd", { embed, address: null }, token)).body.embed).toEqual(embed);
    expect(await ancestors("/board")).toBe(embed.join(" "));
    expect(await ancestors("/board/")).toBe(embed.join(" "));
    for (const path of ["/lead", "/rig", "/marshal", "/boards", "/board/x"])
      expect(await ancestors(path), path).toBe("'self'");
    await hub.call("PUT", "/api/crowd", { embed: [], address: null }, token);
  });

  it("counts a relay that asks the hub itself, and lets it slow nobody", async () => {
    const word = { id: "relay-from-afar", beat: 1, boards: 18_400, relays: 2, slow: 4 };
    await fetch(`${hub.url}/api/board`, { headers: { "Noonfall-Relay": JSON.stringify(word) } });
    const { body } = await hub.call("GET", "/api/crowd", undefined, token);
    expect(body).toMatchObject({ relays: 2, boards: 18_400 });
    expect((await hub.call("GET", "/api/board")).body.slow).toBe(1);
  });
});
