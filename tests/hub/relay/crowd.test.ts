/**
 * A field of visitors behind nginx and two relays, from some minutes before totality on, and what each
 * board shows while parts of the way die, lie and come back. Every visitor is the client that the page
 * has; what is judged is the view that the page draws. Real processes; one hub shared by the steps.
 */
import { createServer, type Server } from "node:http";
import type { AddressInfo } from "node:net";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { boardView } from "../../../console/board/board-view.ts";
import { BoardSeal } from "../../../hub/feeds/board-seal.ts";
import { BOARD_STREAM, Broker } from "../../../hub/feeds/broker.ts";
import { brokerAddress } from "../../../hub/feeds/broker-address.ts";
import { MemoryLog } from "../../../hub/log/memory-log.ts";
import { seeded } from "../../../hub/people/seeded.ts";
import { Crowd } from "../../../hub/people/visitor.ts";
import type { BoardFetcher } from "../../../shared/link/board-fetcher.ts";
import type { BoardDocument } from "../../../shared/protocol/board-document.ts";
import { monoMs, utcMs } from "../../../shared/time/instants.ts";
import { type MovedTime, movedTime } from "../../browser/support/moved-time.ts";
import { type HubProcess, startHubProcess } from "../../browser/support/start-hub.ts";
import { brokerUrl, type CrowdField, startCrowdField } from "../../support/crowd-field.ts";
import { until } from "../../support/until.ts";

/** C2 of the plan below is at 10:02:08 UTC: 2027 Aug 2, totality of more than six minutes. */
const BEGINS = "2027-08-02T09:57:30Z";
const PLAN = {
  group: "Meridian Field Group",
  eclipse: "2027-08-02",
  site: { name: "Palm Field", latDeg: 25.69, lonDeg: 32.64, heightM: 80, confirmed: true },
  rigs: [
    { id: "west", name: "West telescope", kind: "tracked-telescope", operator: "Ada", focalLengthMm: 480 },
  ],
};
const VISITORS = 24;

let time: MovedTime;
let hub: HubProcess;
let field: CrowdField;
let liar: Server;
let token = "";
const crowd = new Crowd();
let key = "";
let orders = 0;
const chance = seeded("crowd");
/** What the lying relay does to a document and to the time. */
let twist: (text: string) => string = (text) => text;
let lieMs = 0;

const clock = { mono: () => monoMs(time.now()), wall: () => utcMs(time.now()) };
const join = (origin: () => string): BoardFetcher => crowd.add({ origin, key, clock, chance });
const authorised = () => ({ Authorization: `Bearer ${token}` });
const order = (what: object) =>
  hub.call("POST", "/api/orders", { id: `crowd-${++orders}`, order: what }, authorised());
/** What a visitor's page says of glasses now, as board-page.tsx asks. */
const seenBy = (visitor: BoardFetcher) => {
  const { board, heard, cover } = visitor.view();
  const { utcMs: now, boundMs } = visitor.reading();
  return board ? boardView(board, now, { boundMs, linked: heard, cover }) : null;
};
const numberOf = (visitor: BoardFetcher): number =>
  (visitor.view().board as BoardDocument | null)?.number ?? 0;
const the24 = () => crowd.visitors.slice(0, VISITORS);
const everyone = (what: (visitor: BoardFetcher) => boolean) => the24().every(what);
/** As `until`, with phones that are taken out again and again: each then asks at once. */
const looked = (what: string, says: () => unknown) => {
  let takenOutAt = performance.now();
  return until(what, () => {
    if (performance.now() - takenOutAt > 400) {
      takenOutAt = performance.now();
      for (const one of crowd.visitors) one.noteSuspension();
    }
    return says();
  });
};

beforeAll(async () => {
  time = movedTime(BEGINS);
  const broker = await brokerUrl();
  [field, hub] = await Promise.all([
    startCrowdField(broker, { clockFile: time.file }),
    startHubProcess(["--publish", broker], { clockFile: time.file }),
  ]);
  token = await hub.leadToken();
  await hub.call("PUT", "/api/plan", PLAN, { ...authorised(), "If-Match": '"plan-0"' });
  ({ key } = await hub.call("GET", "/api/board"));
  liar = createServer(async (request, response) => {
    const answer = await fetch(`${field.relays[1]?.url}${request.url}`).catch(() => null);
    if (!answer) return response.destroy();
    const text = await answer.text();
    response.setHeader("Content-Type", "application/json");
    if (request.url?.startsWith("/api/time"))
      response.end(JSON.stringify({ ...JSON.parse(text), utcMs: JSON.parse(text).utcMs + lieMs }));
    else response.end(twist(text));
  });
  await new Promise<void>((resolve) => liar.listen(0, "127.0.0.1", resolve));
  await until("the plan has come through", async () => {
    const answer = await fetch(`${field.nginx.url}/api/board`);
    return answer.ok && ((await answer.json()) as { siteName: string }).siteName === "Palm Field";
  });
  for (let n = 0; n < VISITORS; n++) join(() => field.nginx.url);
});
afterAll(async () => {
  crowd.stop();
  liar?.close();
  await field?.end();
  await hub?.end();
  time?.end();
});

describe("a crowd behind nginx and two relays", () => {
  it("has the site's word, checked, and a clock; the lead is told how many look", async () => {
    await until(
      "everybody is linked",
      () => everyone((one) => one.view().heard && one.view().board?.siteName === "Palm Field"),
      {
        told: () => `${field.relays[0]?.printed()} ${hub.printed()}`,
      },
    );
    for (const visitor of the24()) {
      const { utcMs: now, boundMs } = visitor.reading();
      expect(Math.abs(now - time.now())).toBeLessThanOrEqual(boundMs);
      expect(visitor.view()).toMatchObject({ trouble: null, checked: "by address" });
      expect(seenBy(visitor)?.glasses).toBe("on");
    }
    const said = await until("two relays are heard", async () => {
      const now = await hub.call("GET", "/api/crowd", undefined, authorised());
      return now.relays === 2 && now;
    });
    expect(said.publish).toMatchObject({ trouble: null });
    expect(JSON.stringify(said) + hub.printed() + field.relays.map((one) => one.printed())).not.toMatch(
      /sesame/,
    );
  });

  it("nginx keeps the document for a second and the time never, and has each coding by itself", async () => {
    const head = async (path: string, coding: string) =>
      fetch(`${field.nginx.url}${path}`, { headers: { "Accept-Encoding": coding } });
    for (const coding of ["br", "gzip"]) {
      const answer = await head("/api/board", `${coding}, deflate;q=0.1`);
      expect(answer.headers.get("Content-Encoding")).toBe(coding);
      expect(answer.headers.get("Cache-Control")).toMatch(/max-age=1\b/);
      expect(((await answer.json()) as { key: string }).key).toBe(key);
      const etag = answer.headers.get("ETag") ?? "";
      const again = await fetch(`${field.nginx.url}/api/board`, { headers: { "If-None-Match": etag } });
      expect([200, 304]).toContain(again.status);
    }
    const times = await Promise.all([1, 2].map(async () => (await head("/api/time", "br")).json()));
    expect(new Set(times.map((one) => (one as { utcMs: number }).utcMs)).size).toBe(2);
    expect((await head("/board", "br")).headers.get("Content-Security-Policy")).toContain(
      "frame-ancestors 'none'",
    );
    for (const path of ["/lead", "/rig", "/api/run", "/assets/../lead/index.html"])
      expect((await head(path, "br")).status).toBe(404);
  });

  it("goes on with Redis killed, and hears what is new when it is back", async () => {
    await field.redis.kill();
    await until("the lead is told", async () => {
      const { publish } = await hub.call("GET", "/api/crowd", undefined, authorised());
      return publish.trouble;
    });
    const asked = performance.now();
    await order({ type: "sendMessage", rigIds: null, text: "Everybody well?" });
    expect((await hub.call("GET", "/api/health")).status).toBe("ok");
    expect(performance.now() - asked).toBeLessThan(3000);
    expect(everyone((one) => one.view().heard && seenBy(one)?.glasses === "on")).toBe(true);
    await field.redis.startAgain();
    await time.passTo(Date.parse("2027-08-02T10:02:11Z"));
    await order({ type: "call", call: "totality" });
    await looked("glasses may be off", () => everyone((one) => seenBy(one)?.glasses === "off"));
  });

  it("goes on with a relay killed: nginx takes the other", async () => {
    await field.relays[0]?.kill();
    await order({ type: "call", call: "stay filtered" });
    await looked("glasses stay on", () =>
      everyone((one) => seenBy(one)?.safety === "stay" && one.view().heard),
    );
    await field.relays[0]?.startAgain();
  });

  it("believes no relay that lies: altered bytes, an old document, a wrong time", async () => {
    const { port } = liar.address() as AddressInfo;
    const old = await (await fetch(`${field.relays[1]?.url}/api/board`)).text();
    twist = (text) => text.replace('"stayFiltered":true', '"stayFiltered":false');
    const altered = join(() => `http://127.0.0.1:${port}`);
    await looked("it is refused", () => altered.view().trouble === "altered");
    expect(altered.view().board).toBeNull();
    twist = (text) => text;
    await looked("the true one is taken", () => altered.view().board);
    lieMs = -90_000;
    const late = join(() => `http://127.0.0.1:${port}`);
    await looked("the time is found out", () => late.view().board && late.reading().boundMs > 60_000);
    expect(seenBy(late)?.glasses).toBe("on");
    lieMs = 0;
    await order({ type: "cover" });
    await looked("everybody covers (S7)", () => everyone((one) => one.view().cover));
    await looked("this one, too", () => altered.view().cover);
    twist = () => old;
    await looked("the old one is refused", () => altered.view().trouble === "older");
    expect(altered.view().cover).toBe(true);
    await order({ type: "releaseCover" });
    await looked("the cover is released", () => everyone((one) => !one.view().cover));
  });

  it("hears the hub again after its restart, and the place it has moved to", async () => {
    const number = Math.max(...the24().map((one) => numberOf(one)));
    await hub.kill();
    await hub.startAgain();
    await looked("its newer word is here", () => everyone((one) => numberOf(one) > number));
    const { revision } = await hub.call("GET", "/api/plan", undefined, authorised());
    const moved = { ...PLAN, site: { ...PLAN.site, name: "Dune Camp", latDeg: 25.3 } };
    const before = the24()[0]?.view().board?.contacts.c1;
    await hub.call("PUT", "/api/plan", moved, { ...authorised(), "If-Match": `"plan-${revision}"` });
    await looked("everybody has the new place", () =>
      everyone((one) => one.view().board?.siteName === "Dune Camp"),
    );
    expect(the24()[0]?.view().board?.contacts.c1).not.toBe(before);
    expect(everyone((one) => seenBy(one)?.glasses === "on")).toBe(true);
  });

  it("hears nothing of another site's word over the same broker, and the lead is told of it", async () => {
    const { board } = the24()[0]?.view() ?? {};
    const other = new BoardSeal(new MemoryLog(), {
      now: () => utcMs(time.now()),
      course: () => ({ epoch: "test", shiftMs: 0 }),
      slow: () => 1,
      embed: () => [],
    });
    const { signature: _, ...said } = board as BoardDocument;
    const forged = other.seal({ ...said, siteName: "Elsewhere" });
    const broker = new Broker(brokerAddress("--from", field.redis.url), "--from-ca");
    broker.start();
    await until("it is there", () =>
      broker.command("XADD", BOARD_STREAM, "*", "doc", JSON.stringify(forged)).catch(() => null),
    );
    broker.stop();
    await until("the lead is told", async () => {
      const { publish } = await hub.call("GET", "/api/crowd", undefined, authorised());
      return publish.others === "other site";
    });
    await order({ type: "cover" });
    await looked("everybody covers (S7)", () =>
      everyone((one) => one.view().cover && one.view().trouble === null),
    );
    expect(everyone((one) => one.view().board?.siteName === "Dune Camp")).toBe(true);
    await order({ type: "releaseCover" });
  });

  it("S8: hears a practice begin and end, and nobody is told off in it", async () => {
    await time.passTo(Date.parse("2027-08-02T13:00:00Z"), hub);
    await hub.call("POST", "/api/practice", { anchor: "C2", offsetS: 2, rate: 1 }, authorised());
    await order({ type: "call", call: "totality" });
    await looked("the practice is called", () => everyone((one) => seenBy(one)?.safety === "offPractice"));
    expect(everyone((one) => seenBy(one)?.glasses === "on")).toBe(true);
    await hub.call("DELETE", "/api/practice", undefined, authorised());
    await looked("it is over", () =>
      everyone((one) => seenBy(one)?.phase === "after" && seenBy(one)?.practice === null),
    );
  });
});
