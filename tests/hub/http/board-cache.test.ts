/** GET /api/board as caches read it: RFC 9110 (13.1.2, If-None-Match; 15.4.5, 304) and RFC 9111 (5.2.2), RFC 5861 (3). */
import { ed25519 } from "@noble/curves/ed25519.js";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { splitSigned } from "../../../shared/protocol/board-document.ts";
import { LUXOR_PLAN, startTestHub, type TestHub } from "../../support/test-hub.ts";

let hub: TestHub;
let token: string;
beforeAll(async () => {
  hub = await startTestHub();
  token = await hub.signIn();
  await hub.call("PUT", "/api/plan", LUXOR_PLAN, token, { "If-Match": '"plan-0"' });
});
afterAll(() => hub.stop());

const ask = (etag?: string) =>
  fetch(`${hub.url}/api/board`, { headers: etag === undefined ? {} : { "If-None-Match": etag } });

describe("the board over HTTP", () => {
  it("may be kept by any cache, for a second", async () => {
    const answer = await ask();
    expect(answer.headers.get("Cache-Control")).toBe("public, max-age=1, stale-while-revalidate=1");
    expect(answer.headers.get("Content-Type")).toMatch(/^application\/json/);
    expect(await answer.json()).toMatchObject({ siteName: "Palm Field", cover: false });
  });

  it("is signed by the site's key: whoever knows that finds every altered byte", async () => {
    const text = await (await ask()).text();
    const parts = splitSigned(text);
    const { key, number, issuedUtcMs, validUntilUtcMs } = JSON.parse(text);
    expect(key).toBe(hub.parts.boardKey);
    expect(validUntilUtcMs).toBeGreaterThan(issuedUtcMs);
    expect(Number.isSafeInteger(number)).toBe(true);
    // Checked by another implementation than the one that signs.
    const bytes = (base64: string) => new Uint8Array(Buffer.from(base64, "base64url"));
    const holds = (said: string) =>
      ed25519.verify(bytes(parts?.signature ?? ""), new TextEncoder().encode(said), bytes(key));
    expect(holds(parts?.signed ?? "")).toBe(true);
    expect(holds((parts?.signed ?? "").replace('"cover":false', '"cover":true'))).toBe(false);
  });

  it("tells the time beside it, which no cache may keep", async () => {
    const answer = await fetch(`${hub.url}/api/time`);
    expect(answer.headers.get("Cache-Control")).toBe("no-store");
    const { utcMs, boundMs } = (await answer.json()) as { utcMs: number; boundMs: number };
    expect(Math.abs(utcMs - hub.clock.now())).toBeLessThan(2000);
    expect(boundMs).toBeGreaterThanOrEqual(0);
  });

  it("is not sent again to who has it, until something has changed", async () => {
    const etag = (await ask()).headers.get("ETag") ?? "";
    expect(etag).toMatch(/^"[\w-]+"$/);
    const again = await ask(etag);
    expect([again.status, await again.text()]).toEqual([304, ""]);
    expect(again.headers.get("ETag")).toBe(etag);
    await hub.call("POST", "/api/orders", { id: "cover-1", order: { type: "cover" } }, token);
    const covered = await ask(etag);
    expect(covered.status).toBe(200);
    expect(await covered.json()).toMatchObject({ cover: true });
    expect(covered.headers.get("ETag")).not.toBe(etag);
  });

  it("says that every lens is to be covered though the log stands still (S7)", async () => {
    await hub.call("POST", "/api/orders", { id: "release-1", order: { type: "releaseCover" } }, token);
    expect(await (await ask()).json()).toMatchObject({ cover: false });
    const { log } = hub.parts;
    const append = log.append.bind(log);
    let go: () => void = () => undefined;
    const gate = new Promise<void>((resolve) => {
      go = resolve;
    });
    log.append = async (entry) => {
      await gate;
      return append(entry);
    };
    const order = { id: "cover-2", order: { type: "cover" } };
    const given = hub.call("POST", "/api/orders", order, token);
    for (let n = 0; n < 400 && !hub.parts.keeper.state.cover; n++)
      await new Promise((resolve) => setTimeout(resolve, 5));
    expect(await (await ask()).json()).toMatchObject({ cover: true });
    go();
    expect((await given).status).toBe(200);
  });
});
