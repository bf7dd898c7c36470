/**
 * What a relay answers, and what comes of it behind Debian's nginx with the project's own configuration:
 * the headers that caches go by (RFC 9110, RFC 9111, RFC 5861), and nothing that is old or private.
 */
import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { request, type Server } from "node:http";
import type { AddressInfo } from "node:net";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { BoardSeal } from "../../../hub/feeds/board-seal.ts";
import { boardSnapshot } from "../../../hub/feeds/board-snapshot.ts";
import { MemoryLog } from "../../../hub/log/memory-log.ts";
import { BoardHolder } from "../../../hub/relay/held-board.ts";
import { Looks } from "../../../hub/relay/looks.ts";
import { createRelayServer } from "../../../hub/relay/relay-server.ts";
import { GOOD_CLOCK } from "../../../shared/run/doubt.ts";
import { utcMs } from "../../../shared/time/instants.ts";
import { SiteWorld } from "../../shared/run/site-world.ts";
import { type Part, startNginx } from "../../support/crowd-field.ts";

const now = () => utcMs(Date.now());
const PLAIN = boardSnapshot(SiteWorld.planned().state, now(), GOOD_CLOCK);
const seal = new BoardSeal(new MemoryLog(), {
  now,
  course: () => ({ epoch: "test", shiftMs: 0 }),
  slow: () => 1,
  embed: () => [],
});
const holder = new BoardHolder({ key: null, utcMs: now });
let revision = 0;
let asked = 0;
let folder: string;
let server: Server;
let relay: string;
let nginx: Part;

const sayNew = (): number => {
  holder.take(JSON.stringify(seal.seal({ ...PLAIN, revision: ++revision })));
  return revision;
};
interface Answer {
  status: number;
  headers: Record<string, string | string[] | undefined>;
  body: string;
}
/** As it comes: Node's fetch would undo codings and follow redirects. */
const get = (url: string, headers: Record<string, string> = {}, method = "GET"): Promise<Answer> =>
  new Promise((resolve, reject) => {
    request(url, { headers, method, agent: false }, (response) => {
      const parts: Buffer[] = [];
      response.on("data", (part: Buffer) => parts.push(part));
      response.on("end", () =>
        resolve({
          status: response.statusCode ?? 0,
          headers: response.headers,
          body: Buffer.concat(parts).toString("latin1"),
        }),
      );
    })
      .on("error", reject)
      .end();
  });
const rest = (ms: number) => new Promise((resolve) => setTimeout(resolve, ms));

beforeAll(async () => {
  folder = mkdtempSync(join(tmpdir(), "noonfall-nginx-"));
  const pages = join(folder, "pages");
  mkdirSync(join(pages, "board"), { recursive: true });
  mkdirSync(join(pages, "lead"), { recursive: true });
  mkdirSync(join(pages, "assets"));
  writeFileSync(join(pages, "board", "index.html"), "<html lang=en>the board</html>");
  writeFileSync(join(pages, "lead", "index.html"), "<html lang=en>the lead's page</html>");
  writeFileSync(join(pages, "assets", "board-abc.js"), "export {};");
  sayNew();
  server = createRelayServer({
    ...{ holder, looks: new Looks(), gapMs: () => 10_000, pagesDir: pages },
    stamp: () => ({ utcMs: Date.now(), boundMs: 5 }),
    heardRelay: () => undefined,
    path: () => ["relay-one"],
    health: () => ({ status: "ok" }),
  });
  server.on("request", ({ url }) => {
    if (url?.startsWith("/api/board")) asked++;
  });
  await new Promise<void>((resolve) => server.listen(0, "127.0.0.1", resolve));
  relay = `http://127.0.0.1:${(server.address() as AddressInfo).port}`;
  nginx = await startNginx(folder, [{ url: relay }]);
});
afterAll(async () => {
  await nginx?.kill();
  server?.close();
  server?.closeAllConnections();
  rmSync(folder, { recursive: true, force: true });
});

describe("the document of a relay, by itself and behind nginx", () => {
  it("has the headers that caches go by, the same for GET, HEAD and 304, and a body in the coding asked for", async () => {
    for (const origin of [relay, nginx.url]) {
      const whole = await get(`${origin}/api/board`);
      const { etag = "" } = whole.headers;
      expect(whole.status).toBe(200);
      expect(whole.headers["cache-control"]).toBe("public, max-age=1, stale-while-revalidate=1");
      expect(whole.headers.vary).toBe("Accept-Encoding");
      expect(whole.headers["content-type"]).toMatch(/^application\/json/);
      expect(whole.headers["x-content-type-options"]).toBe("nosniff");
      expect(whole.headers["set-cookie"]).toBeUndefined();
      const head = await get(`${origin}/api/board`, {}, "HEAD");
      expect([head.status, head.body, head.headers.etag]).toEqual([200, "", etag]);
      expect(head.headers["content-length"]).toBe(whole.headers["content-length"]);
      for (const tag of [`${etag}`, `"other", ${etag}`, `${etag}`.replace("W/", "")]) {
        const same = await get(`${origin}/api/board`, { "If-None-Match": tag });
        expect([same.status, same.body, same.headers.etag]).toEqual([304, "", etag]);
        expect(same.headers["cache-control"]).toMatch(/max-age=1\b/);
      }
      for (const coding of ["br", "gzip"]) {
        const coded = await get(`${origin}/api/board`, { "Accept-Encoding": coding });
        expect(coded.headers["content-encoding"]).toBe(coding);
        expect(coded.body.length).toBeLessThan(whole.body.length);
        expect(
          (await get(`${origin}/api/board`, { "Accept-Encoding": coding }, "HEAD")).headers[
            "content-encoding"
          ],
        ).toBe(coding);
      }
    }
  });

  it("is asked for once a second however many come; who comes alone and gets an old one is asked to come again, and gets the new", async () => {
    await rest(2200);
    const before = asked;
    await Promise.all(Array.from({ length: 100 }, () => get(`${nginx.url}/api/board?x=${Math.random()}`)));
    expect(asked - before).toBeLessThanOrEqual(3);
    const said = sayNew();
    await rest(2200);
    const first = await get(`${nginx.url}/api/board`);
    expect(first.headers["retry-after"]).toBe("1");
    await rest(1000);
    const second = await get(`${nginx.url}/api/board`);
    expect(JSON.parse(second.body).revision).toBe(said);
    const others = await Promise.all([1, 2, 3].map(() => get(`${nginx.url}/api/board`)));
    expect(others.map(({ headers }) => headers["retry-after"])).toContain(undefined);
  });

  it("is the last one for as long as no relay answers: it says itself until when it holds", async () => {
    const said = sayNew();
    await rest(1100);
    await get(`${nginx.url}/api/board`);
    await rest(200);
    const broken = holder.current;
    // A relay that has just started has none: 503.
    holder.current = undefined;
    try {
      await rest(2200);
      for (let n = 0; n < 3; n++) {
        const answer = await get(`${nginx.url}/api/board`);
        expect([answer.status, JSON.parse(answer.body).revision]).toEqual([200, said]);
      }
      const { headers } = await get(`${relay}/api/board`);
      expect(headers).toMatchObject({ "cache-control": "no-store", "retry-after": "3" });
    } finally {
      holder.current = broken;
    }
  });
});

describe("what else a relay answers", () => {
  it("is the time, never out of a cache, and how it does for its own machine", async () => {
    for (const origin of [relay, nginx.url]) {
      const times = await Promise.all([1, 2, 3].map(() => get(`${origin}/api/time`)));
      expect(times[0]?.headers["cache-control"]).toBe("no-store");
      expect(JSON.parse(times[0]?.body ?? "")).toEqual({ utcMs: expect.any(Number), boundMs: 5 });
      const later = await get(`${origin}/api/time?minute`);
      expect(JSON.parse(later.body).utcMs).toBeGreaterThanOrEqual(JSON.parse(times[2]?.body ?? "").utcMs);
      expect((await get(`${origin}/api/time`, {}, "HEAD")).body).toBe("");
      expect((await get(`${origin}/api/health`)).headers["cache-control"]).toBe("no-store");
    }
  });

  it("is the board's page and its files; of everything else there is nothing", async () => {
    for (const origin of [relay, nginx.url]) {
      expect(await get(`${origin}/board`)).toMatchObject({
        status: 200,
        body: '<html data-way="fetch" lang=en>the board</html>',
      });
      expect((await get(`${origin}/`)).headers.location).toBe("/board");
      expect((await get(`${origin}/assets/board-abc.js`)).headers["cache-control"]).toMatch(/immutable/);
      for (const path of [
        "/lead",
        "/rig",
        "/api/run",
        "/api/plan",
        "/api/log.json",
        "/api/crowd",
        "/api/board/",
        "/assets/../lead/index.html",
        "/assets/%2e%2e/lead/index.html",
        "/assets/..%2flead%2findex.html",
        "/assets/%",
        "//lead/index.html",
        "/__proto__",
      ])
        expect([path, (await get(`${origin}${path}`)).status]).toEqual([path, expect.toBeOneOf([400, 404])]);
      for (const method of ["POST", "PUT", "DELETE", "OPTIONS"])
        expect((await get(`${origin}/api/board`, {}, method)).status).toBe(405);
    }
  });
});
