/** SPEC L1–L13 with ports of the test's own. Links: admission.test.ts; over real sockets: tests/contract/session-with-hub.test.ts. */
import { describe, expect, test } from "vitest";
import { giveOrder } from "../../../shared/link/give-order.ts";
import { missedNow } from "../../../shared/link/missed-orders.ts";
import { Session } from "../../../shared/link/session.ts";
import type { QueuedFact } from "../../../shared/link/session-types.ts";
import type { Answer, ProbeAnswer } from "../../../shared/protocol/messages.ts";
import type { SiteEvent } from "../../../shared/run/events.ts";
import { filterVerdict } from "../../../shared/run/facts/filter-state.ts";
import { EVOLVE_VERSION } from "../../../shared/run/state.ts";
import { utcMs } from "../../../shared/time/instants.ts";
import { SiteWorld } from "../run/site-world.ts";
import { answersProbes, begun, factsSent, idsOf, LEAD, linked, OK, RIG } from "./begun.ts";
import { FakeSocket, FakeStore, FakeWorld, fakePorts, settle, WALL_AT_START } from "./fake-ports.ts";

/** What a page takes the filter of "west" to be. */
function filterOf(session: Session): string | undefined {
  const record = session.view().state?.runs["real-2027-08-02"]?.rigs.west;
  return record && filterVerdict(record.filter).state;
}

describe("L1: the outbox", () => {
  test("keeps a report before it sends it, and forgets it after the answer", async () => {
    const { socket, store, session } = await linked();
    let stepsWhenSent: string[] = [];
    socket.answer = async (event) => {
      if (event !== "facts") throw new Error("no");
      stepsWhenSent = [...store.steps];
      return [OK];
    };
    await session.report("west", { filter: "on" });
    await settle();
    expect(stepsWhenSent).toEqual(["queue id-1"]);
    expect(store.steps).toEqual(["queue id-1", "unqueue id-1"]);
    expect(session.view().queued).toBe(0);
  });

  test("sends in order what was reported without a link, once it has caught up", async () => {
    const { socket, session, site } = await begun();
    for (const batteryPct of [50, 49, 48]) await session.report("west", { batteryPct });
    socket.answer = async (event, data) => (event === "facts" ? idsOf(data).map(() => OK) : Promise.reject());
    socket.open();
    await settle();
    expect(factsSent(socket)).toEqual([]);
    socket.hear("state", { seq: 1, state: site.state });
    await settle();
    expect(factsSent(socket)).toEqual([["id-1", "id-2", "id-3"]]);
    expect(session.view().queued).toBe(0);
  });

  test("sends again under the same id when the answer is lost", async () => {
    const { world, socket, session } = await linked();
    let calls = 0;
    socket.answer = async (event) => {
      if (event !== "facts") throw new Error("no");
      if (++calls === 1) throw new Error("timeout");
      return [OK];
    };
    await session.report("west", { help: true });
    await settle();
    expect(session.view().queued).toBe(1);
    await world.pass(300);
    expect(factsSent(socket)).toEqual([["id-1"], ["id-1"]]);
    expect(session.view().queued).toBe(0);
  });

  // A store that fails for good must not make the phone mute: what the hub has is done with here.
  test("asks the device again to forget what it could not forget, and sends it no second time", async () => {
    const { socket, store, session } = await linked();
    socket.answer = async (event, data) => {
      store.failing = calls++ === 0;
      return event === "facts" ? idsOf(data).map(() => OK) : Promise.reject();
    };
    let calls = 0;
    await session.report("west", { help: true });
    await settle();
    expect(session.view().queued).toBe(0);
    expect(store.saved.outbox).toHaveLength(1);
    store.failing = false;
    await session.report("west", { help: false });
    await settle();
    expect(factsSent(socket)).toEqual([["id-1"], ["id-2"]]);
    expect(store.saved.outbox).toEqual([]);
  });

  test("does not fall silent on a device whose storage has failed for good", async () => {
    const { world, socket, store, session } = await linked();
    store.failing = true;
    const refused: Answer = { ok: false, refusal: { code: "bad-input", message: "no" } };
    socket.answer = async (event, data) =>
      event === "facts" ? idsOf(data).map((id) => (id === "id-3" ? refused : OK)) : Promise.reject();
    for (let n = 1; n <= 45; n++) await session.report("west", { batteryPct: n }).catch(() => undefined);
    await world.pass(2000);
    expect(session.view()).toMatchObject({ queued: 0, rejected: [{ id: "id-3" }] });
    const sent = factsSent(socket).flat();
    expect(sent).toEqual(Array.from({ length: 45 }, (_, n) => `id-${n + 1}`));
  });

  test("tells who reported when the device cannot keep it", async () => {
    const { store, session } = await linked();
    store.failing = true;
    await expect(session.report("west", { help: true })).rejects.toThrow(/disk is full/);
  });

  // Two codes opened on one phone are two pages of one device.
  test("of two pages of one phone: the later word on a filter has the later number, and none is lost", async () => {
    const first = await linked();
    const { store, site } = first;
    const second = await linked(RIG, store);
    // Made while a hub is near, and known to both pages only by its events.
    const said = async (page: typeof first, filter: "on" | "off"): Promise<void> => {
      page.socket.answer = async (event, data) => {
        if (event !== "facts") throw new Error("no");
        for (const { fact } of data as QueuedFact[])
          site.report(fact.rigId, fact.report, {
            at: fact.observedUtcMs,
            device: "phone-1",
            seq: fact.deviceSeq,
          });
        return idsOf(data).map(() => OK);
      };
      await page.session.report("west", { filter });
      await settle();
      for (const { socket, session } of [first, second])
        socket.hear("events", site.log.slice(session.view().state?.seq));
    };
    await said(first, "on");
    for (const filter of ["off", "on", "off", "on"] as const) await said(second, filter);
    await said(first, "off");
    for (const { session } of [first, second]) expect(filterOf(session)).toBe("off");
    // And without a hub: all of both wait in the one outbox, and each page shows both.
    for (const { socket } of [first, second]) socket.drop();
    await first.session.report("west", { filter: "on" });
    await second.session.report("wide", { batteryPct: 50 });
    await second.session.report("west", { filter: "off" });
    expect(store.saved.outbox.map(({ fact }) => fact.report)).toEqual([
      { filter: "on" },
      { batteryPct: 50 },
      { filter: "off" },
    ]);
    expect(filterOf(first.session)).toBe("on");
    await first.session.readOthers();
    expect(first.session.view().queued).toBe(3);
    for (const { session } of [first, second]) expect(filterOf(session)).toBe("off");
  });

  test("sends nothing that is not stored yet", async () => {
    const { socket, store, session, world } = await linked();
    socket.answer = async (event, data) => (event === "facts" ? idsOf(data).map(() => OK) : Promise.reject());
    let stored: (number: number) => void = () => undefined;
    store.queue = () =>
      new Promise((resolve) => {
        stored = resolve;
      });
    const reported = session.report("west", { filter: "off" });
    await world.pass(1000);
    expect(factsSent(socket)).toEqual([]);
    expect(session.view().queued).toBe(1);
    stored(41);
    await reported;
    await settle();
    expect(factsSent(socket)).toEqual([["id-1"]]);
    const sent = socket.requests.find(({ event }) => event === "facts");
    expect(sent?.data).toMatchObject([{ fact: { deviceSeq: 41 } }]);
  });

  test("goes in batches, one after another", async () => {
    const { socket, session, site } = await begun();
    for (let n = 0; n < 45; n++) await session.report("west", { batteryPct: n });
    socket.answer = async (event, data) => (event === "facts" ? idsOf(data).map(() => OK) : Promise.reject());
    socket.open();
    socket.hear("state", { seq: 1, state: site.state });
    await settle();
    await settle();
    await settle();
    await settle();
    await settle();
    const sent = factsSent(socket);
    expect(sent.map((batch) => batch.length)).toEqual([20, 20, 5]);
    expect(sent.flat()).toEqual(Array.from({ length: 45 }, (_, n) => `id-${n + 1}`));
  });
});

describe("L2: refused reports", () => {
  const refusal = (code: "bad-input" | "internal") => ({
    ok: false as const,
    refusal: { code, message: "no" },
  });

  test("one refused for its form leaves the outbox, stays visible, and holds nobody up", async () => {
    const { socket, store, session } = await linked();
    socket.answer = async (event, data) =>
      event === "facts"
        ? idsOf(data).map((id) => (id === "id-1" ? refusal("bad-input") : OK))
        : Promise.reject();
    await session.report("west", { help: true });
    await session.report("west", { help: false });
    await settle();
    expect(session.view()).toMatchObject({ queued: 0, rejected: [{ id: "id-1" }] });
    expect(store.saved.rejected).toMatchObject([{ id: "id-1", refusal: { code: "bad-input" } }]);
  });

  test("one that cannot be taken just now stays, and those behind it wait", async () => {
    const { world, socket, session } = await linked();
    let full = true;
    socket.answer = async (event, data) =>
      event === "facts" ? idsOf(data).map(() => (full ? refusal("internal") : OK)) : Promise.reject();
    await session.report("west", { help: true });
    await session.report("west", { help: false });
    await world.pass(600);
    expect(session.view()).toMatchObject({ queued: 2, rejected: [] });
    full = false;
    await world.pass(300);
    expect(session.view()).toMatchObject({ queued: 0, rejected: [] });
  });
});

describe("L3: orders", () => {
  test("go now or fail; none is kept for later", async () => {
    const { socket, site } = await begun(LEAD);
    const ports = { socket, newId: () => "order-1" };
    const answer = await giveOrder(ports, { type: "call", call: "totality" });
    expect(answer).toMatchObject({ ok: false, refusal: { message: expect.stringMatching(/not given/) } });
    socket.open();
    socket.hear("state", { seq: 1, state: site.state });
    await settle();
    expect(socket.requests.filter((request) => request.event === "order")).toEqual([]);
    socket.answer = async () => OK;
    expect(await giveOrder(ports, { type: "cover" })).toEqual(OK);
  });

  const orders = (site: SiteWorld, at = WALL_AT_START): SiteEvent[] => {
    const before = site.log.length;
    site.order({ type: "sendMessage", text: "All", rigIds: null }, at);
    site.order({ type: "sendMessage", text: "West", rigIds: ["west"] }, at);
    site.order({ type: "sendMessage", text: "Eye", rigIds: ["eye"] }, at);
    site.order({ type: "call", call: "stay filtered" }, at);
    return site.log.slice(before);
  };

  test("missed ones are counted when events are caught up with, others' messages are not", async () => {
    const { socket, session, site } = await linked();
    socket.drop();
    const missed = orders(site);
    socket.open();
    socket.hear("events", missed);
    expect(session.view()).toMatchObject({
      missedOf: Array(3).fill(site.state.realRunId),
      linkState: "linked",
    });
    session.noteOrdersSeen();
    expect(session.view().missedOf).toHaveLength(0);
  });

  test("missed ones are not shown as new, nor after a reload, by which the note of them is not lost", async () => {
    const { socket, session, site, store, world } = await linked();
    socket.drop();
    const missed = orders(site);
    const ids = missed.flatMap(({ payload }) =>
      "callId" in payload ? [payload.callId] : "messageId" in payload ? [payload.messageId] : [],
    );
    const [all, west, , call] = ids as [string, string, string, string];
    socket.open();
    socket.hear("events", missed);
    expect(session.view().oldOrders).toEqual([all, west, call]);
    await world.pass(2000);
    const again = await begun(RIG, store);
    expect(again.session.view()).toMatchObject({
      missedOf: Array(3).fill(site.state.realRunId),
      oldOrders: [all, west, call],
    });
    again.session.noteOrdersSeen();
    site.order({ type: "sendMessage", text: "Later", rigIds: null }, WALL_AT_START + 1);
    again.socket.open();
    again.socket.hear("events", []);
    again.socket.hear("events", site.log.slice(-1));
    const { messageId } = site.state.messages.at(-1) ?? {};
    expect(again.session.view().oldOrders).not.toContain(messageId);
    again.session.noteRead(messageId ?? "");
    await again.world.pass(2000);
    const last = await begun(RIG, store);
    expect(last.session.view()).toMatchObject({
      missedOf: [],
      oldOrders: [all, west, call, messageId],
    });
  });

  test("and when the whole state is sent instead", async () => {
    const { socket, session, site } = await linked();
    socket.drop();
    orders(site);
    socket.open();
    socket.hear("state", { seq: site.state.seq, state: site.state });
    expect(session.view().missedOf).toHaveLength(3);
  });

  test("those of a practice count no longer than it lasts, those of the real run go on", async () => {
    const { socket, session, site } = await linked();
    socket.drop();
    const before = site.log.length;
    site.order({ type: "sendMessage", text: "Lunch at noon", rigIds: null }, WALL_AT_START);
    site.order({ type: "startPractice", anchor: "C2", offsetS: -180, rate: 1 }, WALL_AT_START);
    site.order({ type: "sendMessage", text: "Practised", rigIds: ["west"] }, WALL_AT_START);
    site.order({ type: "call", call: "stay filtered" }, WALL_AT_START);
    site.order({ type: "callRoll", rigIds: null, withinS: 30 }, WALL_AT_START);
    socket.open();
    socket.hear("events", site.log.slice(before));
    const countedAt = (at: number) => {
      const { missedOf, state } = session.view();
      return state && missedNow(missedOf, state, utcMs(at));
    };
    expect(countedAt(WALL_AT_START + 1000)).toBe(4);
    // It is over by itself though nobody says so (S8).
    expect(countedAt(WALL_AT_START + 12 * 3_600_000)).toBe(1);
    site.order({ type: "endPractice" }, WALL_AT_START + 2000);
    socket.hear("events", site.log.slice(-1));
    expect(countedAt(WALL_AT_START + 2000)).toBe(1);
  });

  test("those of a practice that is over by then are not counted, whichever way they come", async () => {
    for (const whole of [false, true]) {
      const { socket, session, site } = await linked();
      socket.drop();
      const before = site.log.length;
      site.order({ type: "startPractice", anchor: "C2", offsetS: -180, rate: 1 }, WALL_AT_START);
      site.order({ type: "sendMessage", text: "Practised", rigIds: null }, WALL_AT_START);
      site.order({ type: "call", call: "stay filtered" }, WALL_AT_START);
      site.order({ type: "endPractice" }, WALL_AT_START + 2000);
      socket.open();
      if (whole) socket.hear("state", { seq: site.state.seq, state: site.state });
      else socket.hear("events", site.log.slice(before));
      const { missedOf, state } = session.view();
      expect(state && missedNow(missedOf, state, utcMs(WALL_AT_START + 3000))).toBe(0);
    }
  });

  test("what an earlier program kept of their number is passed over", async () => {
    const first = await linked();
    await first.world.pass(2000);
    const { state } = first.store.saved;
    if (state) state.orders = { missed: 2, old: ["read"] } as never;
    const { session } = await begun(RIG, first.store);
    expect(session.view()).toMatchObject({ missedOf: [], oldOrders: ["read"] });
  });

  test("a page that was frozen is told of its own link, too, that it missed what came more than 5 s ago", async () => {
    const { world, socket, session, site } = await linked();
    answersProbes(socket, () => world.clock.wall());
    await world.pass(1000);
    const old = orders(site, WALL_AT_START - 20_000);
    socket.hear("events", old);
    expect(session.view().linkState).toBe("linked");
    expect(session.view().missedOf).toHaveLength(3);
    expect(session.view().oldOrders).toHaveLength(3);
    session.noteOrdersSeen();
    socket.hear("events", orders(site, WALL_AT_START - 3000));
    expect(session.view().missedOf).toHaveLength(0);
  });

  test("one that is seen as it comes is not missed, nor anything before the first visit", async () => {
    const { socket, session, site } = await linked();
    socket.hear("events", orders(site));
    expect(session.view().missedOf).toHaveLength(0);
    const fresh = await begun();
    orders(fresh.site);
    fresh.socket.open();
    fresh.socket.hear("state", { seq: fresh.site.state.seq, state: fresh.site.state });
    expect(fresh.session.view().missedOf).toHaveLength(0);
  });
});

describe("L4: cover every lens (S7)", () => {
  test("shows at once when heard, and stays when it is logged; the release ends it", async () => {
    const { socket, session, site } = await linked();
    socket.hear("cover", { by: "lead:Ada" });
    expect(session.view()).toMatchObject({ cover: true, state: { cover: null } });
    site.order({ type: "cover" }, WALL_AT_START);
    socket.hear("events", site.log.slice(-1));
    expect(session.view().cover).toBe(true);
    site.order({ type: "releaseCover" }, WALL_AT_START + 1);
    socket.hear("events", site.log.slice(-1));
    expect(session.view().cover).toBe(false);
  });

  test("stays while the link is away", async () => {
    const { world, socket, session } = await linked();
    socket.hear("cover", { by: "lead:Ada" });
    socket.drop();
    await world.pass(60_000);
    expect(session.view()).toMatchObject({ cover: true, linkState: "alone" });
  });

  test("is obeyed by who returns, by events or by the whole state", async () => {
    for (const whole of [true, false]) {
      const { socket, session, site } = await linked();
      socket.drop();
      site.order({ type: "cover" }, WALL_AT_START);
      socket.open();
      if (whole) socket.hear("state", { seq: site.state.seq, state: site.state });
      else socket.hear("events", site.log.slice(-1));
      expect(session.view().cover).toBe(true);
    }
  });
});

describe("L4: a hub with an older copy of the site, which knows of no cover", () => {
  test.each(["another log", "the same log, without its end"])(
    "%s: it stands until a lead releases it",
    async (log) => {
      const { socket, session, site } = await linked();
      const older = site.state;
      site.order({ type: "cover" }, WALL_AT_START);
      socket.hear("events", site.log.slice(-1));
      socket.drop();
      socket.open(log === "another log" ? "log-2" : "log-1");
      socket.hear("state", { seq: older.seq, state: older });
      expect(session.view()).toMatchObject({ cover: true, state: { cover: null } });
      site.state = older;
      site.order({ type: "releaseCover" }, WALL_AT_START + 1);
      socket.hear("events", site.log.slice(-1));
      expect(session.view().cover).toBe(false);
    },
  );

  test("one that was released is not kept", async () => {
    const { socket, session, site } = await linked();
    for (const type of ["cover", "releaseCover"] as const) {
      site.order({ type }, WALL_AT_START);
      socket.hear("events", site.log.slice(-1));
    }
    socket.drop();
    socket.open("log-2");
    socket.hear("state", { seq: site.state.seq, state: site.state });
    expect(session.view().cover).toBe(false);
  });
});

describe("L5: events", () => {
  test("are folded in order, each once; a gap asks for what is missing", async () => {
    const { socket, session, site } = await linked();
    const { seq } = site.state;
    for (const batteryPct of [60, 59, 58])
      site.report("west", { batteryPct }, { at: WALL_AT_START + 100 - batteryPct });
    const [one, two, three] = site.log.slice(seq);
    socket.hear("events", [one]);
    socket.hear("events", [one, one]);
    expect(session.view().state?.seq).toBe(seq + 1);
    socket.hear("events", [three]);
    expect(socket.emitted.filter((item) => item.event === "resync")).toEqual([
      { event: "resync", data: { seq: seq + 1 } },
    ]);
    expect(session.view().state?.seq).toBe(seq + 1);
    socket.hear("events", [two, three]);
    expect(session.view().state).toEqual(site.state);
  });

  test("says at the door how far it has read, and of which log", async () => {
    const { world, socket, site } = await linked();
    socket.drop();
    await world.pass(1500);
    expect(socket.auth).toMatchObject({
      role: "rig",
      deviceId: "phone-1",
      last: { epoch: "log-1", seq: site.state.seq },
      evolveVersion: EVOLVE_VERSION,
    });
  });

  test("of another log start it afresh, once its state is there", async () => {
    const { socket, session, site } = await linked();
    site.order({ type: "sendMessage", text: "Of the first log", rigIds: null }, WALL_AT_START);
    socket.hear("events", site.log.slice(-1));
    socket.drop();
    socket.open("log-2");
    expect(session.view().state).toEqual(site.state);
    const other = SiteWorld.planned({ group: "Another" }, WALL_AT_START);
    other.order({ type: "call", call: "stay filtered" }, WALL_AT_START);
    // Not to be folded into what is known of the first.
    socket.hear("events", other.log);
    expect(session.view().state).toEqual(site.state);
    expect(socket.emitted.at(-1)).toEqual({ event: "resync", data: { seq: -1 } });
    socket.hear("state", { seq: other.state.seq, state: other.state });
    expect(session.view()).toMatchObject({ linkState: "linked", missedOf: [] });
    expect(session.view().state).toEqual(other.state);
  });
});

describe("L6, L7, L8: the link", () => {
  test("the truth about it, step by step", async () => {
    const { world, socket, session, site } = await begun();
    expect(session.view().linkState).toBe("never linked");
    await world.pass(2000);
    socket.open();
    expect(session.view().linkState).toBe("catching up");
    socket.hear("state", { seq: 1, state: site.state });
    expect(session.view().linkState).toBe("linked");
    socket.drop();
    expect(session.view().linkState).toBe("alone");
  });

  test("a page shown while it connects begins no second attempt; one that comes in twice catches up", async () => {
    const world = new FakeWorld();
    const socket = new FakeSocket();
    const session = new Session(RIG, fakePorts(world, socket, new FakeStore()));
    const started = session.start();
    session.wake();
    expect(socket.connects).toBe(0);
    await started;
    session.wake();
    expect(socket.connects).toBe(1);
    const { state } = SiteWorld.planned({}, WALL_AT_START - 86_400_000);
    // Seen in a browser: both connections answered, the first with its state before the second.
    socket.open();
    socket.hear("state", { seq: state.seq, state });
    socket.open();
    expect(session.view().linkState).toBe("catching up");
    socket.hear("state", { seq: state.seq, state });
    expect(session.view().linkState).toBe("linked");
    socket.drop();
    session.wake();
    expect(socket.connects).toBe(2);
  });

  test("it never gives up", async () => {
    const { world, socket } = await linked();
    socket.drop();
    const before = socket.connects;
    await world.pass(60_000);
    // Attempts of 0.9 and 1.9 s, one after another.
    expect(socket.connects - before).toBeGreaterThan(30);
  });

  test("a silent link is closed and opened anew", async () => {
    const { world, socket, session } = await linked();
    await world.pass(10_000);
    expect(socket.closes).toBeGreaterThan(0);
    expect(session.view().linkState).toBe("alone");
  });

  test.each(["not-signed-in", "protocol"])("refused with %s it stops and says so", async (code) => {
    const { world, socket, session } = await begun(LEAD);
    socket.hear("connect_error", { data: { code, message: "no" } });
    const before = socket.connects;
    await world.pass(20_000);
    expect(socket.connects).toBe(before);
    expect(session.view().refused).toMatchObject({ code });
  });

  test("an error on the way is no refusal", async () => {
    const { world, socket, session } = await begun();
    socket.hear("connect_error", new Error("websocket error"));
    const before = socket.connects;
    await world.pass(3000);
    expect(socket.connects).toBeGreaterThan(before);
    expect(session.view().refused).toBeNull();
  });
});

describe("L9, L11: one's own reports", () => {
  test("stay in sight from the hub's answer until their events come, which may be a little later", async () => {
    const { socket, session, site } = await linked();
    const words = () =>
      Object.values(session.view().state?.runs["real-2027-08-02"]?.rigs.west?.filter.byDevice ?? {}).map(
        ({ value }) => value,
      );
    const { seq } = site.state;
    socket.answer = async (event) => (event === "facts" ? [{ ok: true, seq: seq + 2 }] : Promise.reject());
    await session.report("west", { filter: "off" });
    await settle();
    expect(session.view().queued).toBe(0);
    expect(words()).toEqual(["off"]);
    site.report("eye", { batteryPct: 5 }, { at: WALL_AT_START });
    socket.hear("events", site.log.slice(-1));
    expect(words()).toEqual(["off"]);
    // As the hub has taken it in: it has the last word on what was reported.
    site.report("west", { filter: "capped" }, { at: WALL_AT_START + 1000, device: "phone-1", seq: 0 });
    socket.hear("events", site.log.slice(-1));
    expect(words()).toEqual(["capped"]);
  });

  test("show at once and carry the run and the time in which they were made", async () => {
    const { world, socket, session, site } = await linked();
    const runId = site.practise(WALL_AT_START + 1000);
    socket.hear("events", site.log.slice(-1));
    socket.drop();
    const at = world.clock.wall();
    await session.report("west", { filter: "off" });
    const { state } = session.view();
    expect(state?.runs[runId]?.rigs.west?.filter.byDevice["phone-1"]).toMatchObject({
      value: "off",
      observedUtcMs: at,
    });
    expect(state?.seq).toBe(site.state.seq);
    await world.pass(30_000);
    socket.answer = async (event) => (event === "facts" ? [OK] : Promise.reject());
    socket.open();
    socket.hear("events", []);
    await settle();
    const sent = socket.requests.find((request) => request.event === "facts")?.data as { fact: unknown }[];
    expect(sent[0]?.fact).toMatchObject({ runId, observedUtcMs: at, boundMs: null, deviceSeq: 0 });
  });

  test("the view is the same object until something changes", async () => {
    const { socket, session } = await linked();
    expect(session.view()).toBe(session.view());
    const before = session.view();
    socket.hear("presence", { rigs: {} });
    expect(session.view()).not.toBe(before);
  });
});

describe("L10: the clock", () => {
  test("is the device's own with an infinite bound before the first exchange", async () => {
    const { world, session } = await begun();
    expect(session.clock.reading()).toEqual({
      utcMs: world.clock.wall(),
      boundMs: Number.POSITIVE_INFINITY,
      utcBoundMs: Number.POSITIVE_INFINITY,
      state: "none",
    });
  });

  test("follows the hub's from the first exchange on, and never goes back", async () => {
    const { world, socket, session } = await begun();
    // The hub is 5 s behind this device, and answers within the same instant.
    const hub = () => world.clock.wall() - 5000;
    answersProbes(socket, hub);
    socket.open();
    await world.pass(100);
    expect(session.clock.reading().state).toBe("linked");
    let last = session.clock.now();
    for (let step = 0; step < 40; step++) {
      await world.pass(100);
      const now = session.clock.now();
      expect(now).toBeGreaterThanOrEqual(last);
      last = now;
    }
    await world.pass(20_000);
    const { utcMs, boundMs, utcBoundMs } = session.clock.reading();
    expect(Math.abs(utcMs - hub())).toBeLessThanOrEqual(boundMs);
    expect(utcBoundMs).toBeGreaterThanOrEqual(boundMs + 3);
  });
});

describe("L13: a clock put right", () => {
  test("is asked for in the same instant, not at the next burst", async () => {
    const { world, socket, session } = await linked();
    let aheadMs = 0;
    const hub = () => world.clock.wall() + aheadMs;
    answersProbes(socket, hub);
    await world.pass(120_000);
    aheadMs = 400;
    socket.hear("clock", {});
    await world.pass(1500);
    const { utcMs, boundMs } = session.clock.reading();
    expect(Math.abs(utcMs - hub())).toBeLessThanOrEqual(boundMs);
    await world.pass(15_000);
    expect(Math.abs(session.clock.now() - hub())).toBeLessThan(5);
  });
});

describe("L12: after a reload", () => {
  test("it finds the clock although the page was opened anew right after the first exchange", async () => {
    const { world, socket, store } = await begun();
    await world.pass(1000);
    expect(store.saved.clock).toBeNull();
    const hub = () => world.clock.wall() - 5000;
    answersProbes(socket, hub);
    socket.open();
    // One tick of the session (250 ms) after the answer, not the five seconds between later savings.
    await world.pass(300);
    const later = new FakeWorld();
    later.now = world.now + 500;
    const again = new Session(RIG, fakePorts(later, new FakeSocket(), store));
    await again.start();
    expect(Number.isFinite(again.clock.reading().boundMs)).toBe(true);
    expect(Math.abs(again.clock.now() - (later.clock.wall() - 5000))).toBeLessThan(50);
  });

  test("what the hub said of its own clock still stands: disputed and by how much, or that the laptop slept (S5)", async () => {
    const { world, socket, store, session } = await begun();
    const flags: Partial<ProbeAnswer> = { disputed: false, slept: false };
    socket.answer = async (event) => {
      const now = world.clock.wall();
      return event === "probe" ? { t2: now, t3: now, hubBoundMs: 3, ...flags } : Promise.reject();
    };
    socket.open();
    await world.pass(300);
    // A hub of an earlier version says nothing of it.
    expect(session.view().clockHealth).toMatchObject({ disputed: false, slept: false, apartMs: 0 });
    flags.disputed = true;
    flags.slept = true;
    flags.apartMs = 90_005;
    socket.hear("clock", {});
    // One tick after the answer: the page may be opened anew in that very second.
    await world.pass(300);
    session.stop();
    const later = new FakeWorld();
    later.now = world.now + 500;
    const again = new Session(RIG, fakePorts(later, new FakeSocket(), store));
    await again.start();
    expect(again.view().clockHealth).toMatchObject({ disputed: true, slept: true, apartMs: 90_005 });
    expect(Number.isFinite(again.view().clockHealth.boundMs)).toBe(true);
  });

  test("by how much it is disputed is on the device at once when it grows or ends, not at every ms (S5)", async () => {
    const { world, socket, store } = await begun();
    let apartMs: unknown = 0;
    let saved = 0;
    const { saveClock } = store;
    store.saveClock = async (clock) => {
      saved++;
      return saveClock.call(store, clock);
    };
    socket.answer = async (event) => {
      const now = world.clock.wall();
      const answer = { t2: now, t3: now, hubBoundMs: 3, disputed: true, slept: false, apartMs };
      return event === "probe" ? answer : Promise.reject();
    };
    const hear = async (next: unknown) => {
      apartMs = next;
      socket.hear("clock", {});
      await world.pass(300);
      return (store.saved.clock as { apartMs: number }).apartMs;
    };
    socket.open();
    await world.pass(300);
    for (const ms of [90_000, 20_000, 0, 90_000]) expect(await hear(ms)).toBe(ms);
    const before = saved;
    for (const ms of [90_100, 90_200, 89_900]) expect(await hear(ms)).toBe(90_000);
    expect(saved - before).toBeLessThanOrEqual(1);
    for (const odd of [Number.NaN, "90", -5, null]) {
      await hear(90_000);
      expect(await hear(odd)).toBe(0);
    }
  });

  test("a state folded by another program is asked for anew; reports and numbering go on", async () => {
    const first = await linked();
    first.socket.drop();
    await first.session.report("west", { batteryPct: 33 });
    await first.world.pass(3000);
    first.session.stop();
    const { store } = first;
    expect(store.saved.state?.evolveVersion).toBe(EVOLVE_VERSION);
    if (store.saved.state) store.saved.state = { ...store.saved.state, evolveVersion: EVOLVE_VERSION - 1 };
    const { session, socket } = await begun(RIG, store);
    expect(session.view()).toMatchObject({ state: null, linkState: "never linked", queued: 1 });
    expect(socket.auth).toMatchObject({ last: null, evolveVersion: EVOLVE_VERSION });
    await session.report("west", { batteryPct: 32 });
    expect(store.saved.outbox.map(({ fact }) => fact.deviceSeq)).toEqual([0, 1]);
    socket.open();
    socket.hear("state", { seq: first.site.state.seq, state: first.site.state });
    expect(session.view()).toMatchObject({ linkState: "linked", missedOf: [] });
  });

  test("“cover every lens” stands though another program saved it, until the hub says otherwise (S7)", async () => {
    const first = await linked();
    first.site.order({ type: "cover" }, WALL_AT_START + 500);
    first.socket.hear("events", first.site.log.slice(-1));
    await first.world.pass(3000);
    first.session.stop();
    const { store } = first;
    expect(store.saved.state?.cover).toBeNull();
    if (store.saved.state) store.saved.state = { ...store.saved.state, evolveVersion: EVOLVE_VERSION - 1 };
    const { session, socket } = await begun(RIG, store);
    expect(session.view()).toMatchObject({ state: null, cover: true });
    first.site.order({ type: "releaseCover" }, WALL_AT_START + 4000);
    socket.open();
    socket.hear("state", { seq: first.site.state.seq, state: first.site.state });
    expect(session.view().cover).toBe(false);
  });

  // S7, S8: what must be obeyed is on the device in the very instant in which it is known.
  test("it knows of “cover every lens” and of a practice that came an instant before", async () => {
    const { socket, store, site, world } = await linked();
    await world.pass(300);
    site.practise(WALL_AT_START + 1000);
    socket.hear("events", site.log.slice(-1));
    expect(store.saved.state?.state.practice).not.toBeNull();
    expect(store.saved.state?.state.practice).toEqual(site.state.practice);
    site.order({ type: "cover" }, WALL_AT_START + 1100);
    socket.hear("events", site.log.slice(-1));
    const { session } = await begun(RIG, store);
    expect(session.view().cover).toBe(true);
  });

  test("it goes on with state, outbox and numbering", async () => {
    const first = await linked();
    first.socket.drop();
    await first.session.report("west", { batteryPct: 33 });
    await first.world.pass(3000);
    first.session.stop();
    const { session, socket, world } = await begun(RIG, first.store);
    expect(session.view()).toMatchObject({ linkState: "alone", queued: 1 });
    expect(session.view().state?.runs["real-2027-08-02"]?.rigs.west?.batteryPct?.value).toBe(33);
    await session.report("west", { batteryPct: 32 });
    socket.answer = async (event, data) => (event === "facts" ? idsOf(data).map(() => OK) : Promise.reject());
    socket.open();
    socket.hear("events", []);
    await world.pass(300);
    const sent = socket.requests.find((request) => request.event === "facts")?.data as {
      fact: { deviceSeq: number };
    }[];
    expect(sent.map((item) => item.fact.deviceSeq)).toEqual([0, 1]);
  });
});
