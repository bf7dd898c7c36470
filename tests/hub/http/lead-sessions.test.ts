/** How a lead's session ends: by others, by the PIN, by lack of use, and never in a run. */
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { MemoryLog } from "../../../hub/log/memory-log.ts";
import { Keys, SESSION_LIFE_MS } from "../../../hub/site/keys.ts";
import { isRunOn } from "../../../hub/site/run-on.ts";
import { utcMs } from "../../../shared/time/instants.ts";
import { SiteWorld } from "../../shared/run/site-world.ts";
import { PIN, startTestHub, type TestHub } from "../../support/test-hub.ts";
import { closeClients, connect, leadHello } from "../sockets/raw-client.ts";

const DAY_MS = 86_400_000;

describe("a lead who ends the sessions of all others", () => {
  let hub: TestHub;
  beforeEach(async () => {
    hub = await startTestHub();
  });
  afterEach(async () => {
    closeClients();
    await hub.stop();
    expect(hub.errors).toEqual([]);
  });

  it("stays; the others are sent away and have to sign in again", async () => {
    const [own, lost, other] = [await hub.signIn(), await hub.signIn(), await hub.signIn()];
    const stays = connect(hub, leadHello(own));
    const goes = connect(hub, { ...leadHello(lost), deviceId: "tablet" });
    for (const one of [stays, goes]) expect(await one.door).toBeUndefined();
    expect((await hub.call("DELETE", "/api/lead/sessions")).status).toBe(401);
    expect(await hub.call("DELETE", "/api/lead/sessions", undefined, own)).toMatchObject({
      status: 200,
      body: { ended: 2 },
    });
    expect(await goes.closed).toBeTruthy();
    expect(stays.socket.connected).toBe(true);
    expect((await hub.call("GET", "/api/plan", undefined, own)).status).toBe(200);
    for (const gone of [lost, other]) {
      expect((await hub.call("GET", "/api/plan", undefined, gone)).status).toBe(401);
      expect((await connect(hub, leadHello(gone)).door)?.data?.code).toBe("not-signed-in");
    }
    const back = await hub.call("POST", "/api/lead/session", { pin: PIN });
    expect((await hub.call("GET", "/api/plan", undefined, back.body.token)).status).toBe(200);
  });
});

describe("a PIN given at the start", () => {
  it("ends all sessions when it is another one, and none when the hub is only started again", async () => {
    const keys = new Keys(new MemoryLog());
    await keys.startWithPin(PIN);
    const token = keys.openSession("Ada", 0);
    await keys.startWithPin(PIN);
    expect(keys.session(token)).toBeDefined();
    await keys.startWithPin("314159");
    expect(keys.session(token)).toBeUndefined();
    expect(await keys.checkPin("314159")).toBe(true);
    expect(await keys.checkPin(PIN)).toBe(false);
  });

  it("is made anew where what is kept is no PIN's record", async () => {
    for (const record of [
      null,
      7,
      "271828",
      {},
      { salt: "x" },
      { salt: 1, hash: 2 },
      { salt: "", hash: "" },
    ]) {
      const log = new MemoryLog();
      log.setSetting("leadPin", record);
      const hub = await startTestHub(log);
      try {
        expect(await hub.call("POST", "/api/lead/session", { pin: "000000" })).toMatchObject({ status: 401 });
        expect((await hub.call("POST", "/api/lead/session", { pin: PIN })).status).toBe(200);
        expect(hub.errors).toEqual([]);
      } finally {
        await hub.stop();
      }
      const odd = new MemoryLog();
      odd.setSetting("leadPin", record);
      expect(new Keys(odd).hasPin()).toBe(false);
      expect(await new Keys(odd).checkPin(PIN)).toBe(false);
    }
  });

  it("does not stumble over sessions or a secret of a wrong shape", () => {
    for (const odd of [null, 7, {}, [null, 7, { hash: 1 }, { hash: "x", name: "y", sinceUtcMs: "z" }]]) {
      const log = new MemoryLog();
      log.setSetting("local:leadSessions", odd);
      log.setSetting("siteSecret", "c2hvcnQ");
      const keys = new Keys(log);
      expect(keys.session("x")).toBeUndefined();
      expect(keys.session(keys.openSession("Ada", 0))).toMatchObject({ name: "Ada" });
      expect(String(log.getSetting("siteSecret")).length).toBeGreaterThan(40);
    }
  });
});

describe("a session that nobody uses", () => {
  const world = () => {
    const at = { now: Date.UTC(2027, 6, 1), spared: false };
    const log = new MemoryLog();
    const open = () => new Keys(log, { now: () => at.now, spares: () => at.spared });
    return { at, open };
  };

  it("ends after fourteen days, also over restarts, and every use counts anew", () => {
    expect(SESSION_LIFE_MS).toBe(14 * DAY_MS);
    const { at, open } = world();
    const keys = open();
    const used = keys.openSession("Ada", at.now);
    const unused = keys.openSession("Ben", at.now);
    at.now += 10 * DAY_MS;
    expect(keys.session(used)).toBeDefined();
    at.now += 4 * DAY_MS + 1;
    const later = open();
    expect(later.session(unused)).toBeUndefined();
    expect(later.session(used)).toBeDefined();
    at.now += 14 * DAY_MS;
    expect(later.session(used)).toBeDefined();
    at.now += 14 * DAY_MS + 3_600_001;
    expect(later.session(used)).toBeUndefined();
    at.now -= 40 * DAY_MS;
    expect(later.session(used)).toBeUndefined();
  });

  it("does not end while it is spared: a page of it is open, or a run is on", () => {
    const { at, open } = world();
    const token = open().openSession("Ada", at.now);
    at.now += 20 * DAY_MS;
    at.spared = true;
    expect(open().session(token)).toBeDefined();
    at.spared = false;
    expect(open().session(token)).toBeDefined();
  });

  it("is not ended by a clock that was set back", () => {
    const { at, open } = world();
    const token = open().openSession("Ada", at.now);
    at.now -= 400 * DAY_MS;
    expect(open().session(token)).toBeDefined();
  });
});

describe("whether a run is on", () => {
  it("from set-up to packing up of the real one, and in every practice", () => {
    const site = SiteWorld.planned();
    const { c1, c4 } = site.predicted;
    const on = (at: number) => isRunOn(site.state, utcMs(at));
    expect(on(c1 - DAY_MS)).toBe(false);
    for (const at of [c1 - 2 * 3_600_000, c1, (c1 + c4) / 2, c4, c4 + 1_800_000]) expect(on(at)).toBe(true);
    expect(on(c4 + DAY_MS)).toBe(false);
    const now = c1 - 5 * DAY_MS;
    site.practise(now);
    expect(on(now + 1000)).toBe(true);
  });
});
