/** SPEC L1–L15 over real sockets, against a hub with its log in a file. */
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterEach, describe, expect, test } from "vitest";
import { openLog } from "../../hub/log/site-folder.ts";
import { MemoryStore, type NodeSocket, nodePorts } from "../../hub/people/node-ports.ts";
import { BoardClient, type BoardClientView } from "../../shared/link/board-client.ts";
import { giveOrder } from "../../shared/link/give-order.ts";
import { Session, type SessionRole } from "../../shared/link/session.ts";
import type { SessionView } from "../../shared/link/session-types.ts";
import type { Order } from "../../shared/run/orders/commands.ts";
import { utcMs } from "../../shared/time/instants.ts";
import { LUXOR_PLAN, startTestHub, type TestHub } from "../support/test-hub.ts";
import { until } from "../support/until.ts";

const opened: { stop(): unknown }[] = [];
const folders: string[] = [];
afterEach(async () => {
  for (const item of opened.splice(0).reverse()) await item.stop();
  for (const folder of folders.splice(0)) rmSync(folder, { recursive: true, force: true });
});

interface Client {
  session: Session;
  socket: NodeSocket;
  view: () => SessionView;
  until: (what: string, holds: (view: SessionView) => boolean) => Promise<unknown>;
}

/** `aheadMs`: how far the device's own clock is ahead of the machine's. */
async function client(
  hub: TestHub,
  role: SessionRole,
  store = new MemoryStore(),
  aheadMs = 0,
): Promise<Client> {
  const ports = nodePorts(hub.url, store);
  const { clock } = ports;
  ports.clock = { mono: () => clock.mono(), wall: () => utcMs(clock.wall() + aheadMs) };
  const session = new Session(role, ports);
  opened.push(session);
  await session.start();
  const view = () => session.view();
  return { session, socket: ports.socket, view, until: (what, holds) => until(what, () => holds(view())) };
}

interface Board {
  socket: NodeSocket;
  view: () => BoardClientView;
  until: (what: string, holds: (view: BoardClientView) => boolean) => Promise<unknown>;
}

function boardOf(hub: TestHub): Board {
  const ports = nodePorts(hub.url);
  const board = new BoardClient(ports);
  opened.push(board);
  board.start();
  const view = () => board.view();
  return { socket: ports.socket, view, until: (what, holds) => until(what, () => holds(view())) };
}

interface Site {
  hub: TestHub;
  folder: string;
  token: string;
  rig(id: string): SessionRole;
  order(order: Order): Promise<void>;
  reports(): Promise<{ commandId: string; observedUtcMs: number; payload: Record<string, unknown> }[]>;
  /** Ends the hub and starts another on the same port, with the same log or another folder's. */
  restart(pause?: () => Promise<void>, other?: string): Promise<void>;
}

async function site(): Promise<Site> {
  const folder = mkdtempSync(join(tmpdir(), "noonfall-link-"));
  folders.push(folder);
  let hub = await startTestHub(openLog(folder, "site"));
  opened.push({ stop: () => hub.stop() });
  const token = await hub.signIn();
  const saved = await hub.call("PUT", "/api/plan", LUXOR_PLAN, token, { "If-Match": '"plan-0"' });
  expect(saved.status).toBe(200);
  return {
    get hub() {
      return hub;
    },
    folder,
    token,
    rig: (id) => ({
      role: "rig",
      rigs: [{ id, token: hub.parts.keys.rigToken(id, hub.parts.keeper.state.generations[id] ?? 0) }],
      label: "phone",
    }),
    async order(order) {
      const id = `order-${Math.random()}`;
      expect((await hub.call("POST", "/api/orders", { id, order }, token)).status).toBe(200);
    },
    async reports() {
      const { body } = await hub.call("GET", "/api/log.json", undefined, token);
      return body.events.filter((event: { type: string }) => event.type === "rigReported");
    },
    async restart(pause, other = folder) {
      const port = Number(new URL(hub.url).port);
      await hub.stop();
      await pause?.();
      hub = await startTestHub(openLog(other, "site"), port);
    },
  };
}

const filterOf = (view: SessionView, device?: string) =>
  Object.entries(view.state?.runs["real-2027-08-02"]?.rigs.west?.filter.byDevice ?? {}).find(
    ([id]) => device === undefined || id === device,
  )?.[1].value;

describe("a session with a hub", () => {
  test("a phone's report reaches a lead, and both have the state the hub has", async () => {
    const place = await site();
    const lead = await client(place.hub, { role: "lead", token: place.token, label: "laptop" });
    const phone = await client(place.hub, place.rig("west"));
    await phone.until("linked", (view) => view.linkState === "linked");
    await lead.until("linked", (view) => view.linkState === "linked");
    await phone.session.report("west", { filter: "on", looked: true });
    expect(filterOf(phone.view())).toBe("on");
    await lead.until("the lead has heard", (view) => filterOf(view) === "on");
    await phone.until("acknowledged", (view) => view.queued === 0);
    await until("all have caught up", () => lead.view().state?.seq === place.hub.parts.keeper.state.seq);
    expect(lead.view().state).toEqual(JSON.parse(JSON.stringify(place.hub.parts.keeper.state)));
    await lead.until("presence", (view) => view.presence.rigs.west?.length === 1);
    expect(lead.view().presence.rigs.west?.[0]?.label).toBe("phone");
    await phone.until("a clock", () => phone.session.clock.reading().state === "linked");
    const { utcMs, boundMs } = phone.session.clock.reading();
    // Same machine: the hub's clock can be asked itself.
    expect(Math.abs(utcMs - place.hub.clock.now())).toBeLessThan(boundMs + 50);
  });

  test("L1: what was reported out of reach arrives once, in order, with the time it happened", async () => {
    const place = await site();
    const phone = await client(place.hub, place.rig("west"));
    await phone.until("linked", (view) => view.linkState === "linked");
    phone.socket.setNetwork(false);
    await phone.until("alone", (view) => view.linkState === "alone");
    const times: number[] = [];
    for (const batteryPct of [50, 49, 48, 47, 46]) {
      times.push(phone.session.clock.now());
      await phone.session.report("west", { batteryPct });
      times.push(phone.session.clock.now());
    }
    expect(phone.view().queued).toBe(5);
    expect(await place.reports()).toEqual([]);
    const back = place.hub.clock.now();
    phone.socket.setNetwork(true);
    await phone.until("delivered", (view) => view.queued === 0);
    const logged = await place.reports();
    expect(logged.map((event) => event.payload.batteryPct)).toEqual([50, 49, 48, 47, 46]);
    for (const [n, event] of logged.entries()) {
      expect(event.observedUtcMs).toBeGreaterThanOrEqual(times[2 * n] ?? 0);
      expect(event.observedUtcMs).toBeLessThanOrEqual(times[2 * n + 1] ?? 0);
      expect(event.observedUtcMs).toBeLessThan(back);
    }
  });

  test("L1: an answer that is lost makes no second entry", async () => {
    const place = await site();
    const phone = await client(place.hub, place.rig("west"));
    await phone.until("linked", (view) => view.linkState === "linked");
    const { request } = phone.socket;
    let lost = 0;
    phone.socket.request = async (event, data, timeoutMs) => {
      const answer = await request(event, data, timeoutMs);
      if (event === "facts" && lost++ < 2) throw new Error("the answer was lost");
      return answer;
    };
    await phone.session.report("west", { help: true });
    await phone.until("acknowledged", (view) => view.queued === 0);
    expect(lost).toBe(3);
    expect(await place.reports()).toHaveLength(1);
  });

  test("L3: a phone that was away is told how many orders it missed", async () => {
    const place = await site();
    const phone = await client(place.hub, place.rig("west"));
    await phone.until("linked", (view) => view.linkState === "linked");
    phone.socket.setNetwork(false);
    await phone.until("alone", (view) => view.linkState === "alone");
    await place.order({ type: "sendMessage", text: "Clouds from the west.", rigIds: null });
    await place.order({ type: "sendMessage", text: "Not for you.", rigIds: ["wide"] });
    await place.order({ type: "call", call: "stay filtered" });
    phone.socket.setNetwork(true);
    await phone.until("linked again", (view) => view.linkState === "linked");
    expect(phone.view().missedOf).toHaveLength(2);
    await place.order({ type: "sendMessage", text: "Seen as it comes.", rigIds: null });
    await phone.until("the message", (view) => view.state?.messages.length === 3);
    expect(phone.view().missedOf).toHaveLength(2);
  });

  test("L4: cover is heard before it is written, latches, and is obeyed by who returns", async () => {
    const place = await site();
    const here = await client(place.hub, place.rig("west"));
    const away = await client(place.hub, place.rig("wide"));
    const board = boardOf(place.hub);
    await here.until("linked", (view) => view.linkState === "linked");
    await away.until("linked", (view) => view.linkState === "linked");
    await board.until("a board", (view) => view.board !== null);
    away.socket.setNetwork(false);
    await away.until("alone", (view) => view.linkState === "alone");
    // The log stands still: cover must not wait for it (S7).
    const { log } = place.hub.parts;
    const append = log.append.bind(log);
    let write = (): void => undefined;
    const held = new Promise<void>((resolve) => {
      write = resolve;
    });
    log.append = async (entry) => {
      await held;
      return append(entry);
    };
    const ordered = place.order({ type: "cover" });
    await here.until("covered", (view) => view.cover);
    await board.until("covered", (view) => view.cover);
    const logged = [...place.hub.parts.log.read()].some((event) => event.type === "coverOrdered");
    expect(logged).toBe(false);
    write();
    await ordered;
    log.append = append;
    expect(place.hub.parts.keeper.state.cover).not.toBeNull();
    away.socket.setNetwork(true);
    await away.until("obeyed", (view) => view.linkState === "linked" && view.cover);
    await place.order({ type: "releaseCover" });
    for (const page of [here, away]) await page.until("released", (view) => !view.cover);
    await board.until("released", (view) => !view.cover);
  });

  test("L8: a revoked phone is told so, and what it had queued is still taken, marked", async () => {
    const place = await site();
    const phone = await client(place.hub, place.rig("west"));
    await phone.until("linked", (view) => view.linkState === "linked");
    phone.socket.setNetwork(false);
    await phone.until("alone", (view) => view.linkState === "alone");
    await phone.session.report("west", { filter: "off" });
    await place.order({ type: "revokeLink", rigId: "west" });
    phone.socket.setNetwork(true);
    await phone.until("told", (view) => view.refusedRigs.length > 0 && view.queued === 0);
    expect(phone.view().refusedRigs).toEqual([{ rigId: "west", reason: "revoked" }]);
    expect(phone.view().linkState).toBe("alone");
    expect(await place.reports()).toMatchObject([{ payload: { filter: "off", flags: ["link revoked"] } }]);
    const { seq } = phone.view().state ?? { seq: 0 };
    await place.order({ type: "sendMessage", text: "For those who belong here.", rigIds: null });
    expect(phone.view().state?.seq).toBe(seq);
  });

  test("L4, L8: a revoked phone hears the cover, and is freed although it was away at the release", async () => {
    const place = await site();
    const phone = await client(place.hub, place.rig("west"));
    await phone.until("linked", (view) => view.linkState === "linked");
    await place.order({ type: "revokeLink", rigId: "west" });
    await phone.until("told", (view) => view.refusedRigs[0]?.reason === "revoked");
    await place.order({ type: "cover" });
    await phone.until("covered", (view) => view.cover);
    expect(phone.view()).toMatchObject({ linkState: "alone", state: { cover: null } });
    await place.order({ type: "releaseCover" });
    await phone.until("released", (view) => !view.cover);
    await place.order({ type: "cover" });
    await phone.until("covered", (view) => view.cover);
    phone.socket.setNetwork(false);
    await until("it is out of reach", () => !phone.socket.connected);
    await place.order({ type: "releaseCover" });
    expect(phone.view().cover).toBe(true);
    phone.socket.setNetwork(true);
    await phone.until("released", (view) => !view.cover);
  });

  test("L8: a phone revoked while linked is sent away at once and told why", async () => {
    const place = await site();
    const phone = await client(place.hub, place.rig("west"));
    await phone.until("linked", (view) => view.linkState === "linked");
    await place.order({ type: "revokeLink", rigId: "west" });
    await phone.until("told", (view) => view.refusedRigs[0]?.reason === "revoked");
    const again = await client(place.hub, place.rig("west"));
    await again.until("linked by the new link", (view) => view.linkState === "linked" && view.state !== null);
  });

  test("L8: a bad link is refused", async () => {
    const place = await site();
    const phone = await client(place.hub, { role: "rig", rigs: [{ id: "west", token: "guess" }], label: "" });
    await phone.until("refused", (view) => view.refused !== null);
    expect(phone.view()).toMatchObject({
      refused: { code: "not-allowed" },
      refusedRigs: [{ rigId: "west", reason: "bad link" }],
      state: null,
    });
    const lead = await client(place.hub, { role: "lead", token: "guess", label: "" });
    await lead.until("refused", (view) => view.refused?.code === "not-signed-in");
  });

  test("L14: a hub started with another folder takes nothing from a phone; the right one finds it as it was", async () => {
    const place = await site();
    const phone = await client(place.hub, place.rig("west"));
    await phone.until("linked", (view) => view.linkState === "linked");
    await phone.session.report("west", { filter: "on" });
    await phone.until("acknowledged", (view) => view.queued === 0);
    const other = mkdtempSync(join(tmpdir(), "noonfall-link-"));
    folders.push(other);
    await place.restart(undefined, other);
    await phone.until("told", (view) => view.refused !== null);
    await phone.session.report("west", { filter: "off" });
    expect(phone.view()).toMatchObject({
      linkState: "alone",
      queued: 1,
      refusedRigs: [{ rigId: "west", reason: "other hub" }],
    });
    expect(phone.view().state?.plan.rigs.map((rig) => rig.id)).toContain("west");
    expect(filterOf(phone.view())).toBe("off");
    await place.restart();
    phone.session.wake();
    await phone.until("delivered", (view) => view.linkState === "linked" && view.queued === 0);
    expect(phone.view()).toMatchObject({ refused: null, refusedRigs: [] });
    expect((await place.reports()).map((event) => event.payload.filter)).toEqual(["on", "off"]);
  });

  test("L15: what was reported of a rig that was then left arrives, and the phone is seen there no more", async () => {
    const place = await site();
    const store = new MemoryStore();
    const west = place.rig("west");
    const wide = place.rig("wide");
    if (west.role !== "rig" || wide.role !== "rig") throw new Error("no rigs");
    const before = await client(place.hub, { ...west, rigs: [...west.rigs, ...wide.rigs] }, store);
    await before.until("linked", (view) => view.linkState === "linked");
    before.socket.setNetwork(false);
    await before.session.report("west", { filter: "off" });
    before.session.stop();
    const after = await client(place.hub, { ...wide, left: west.rigs }, store);
    await after.until("delivered", (view) => view.linkState === "linked" && view.queued === 0);
    expect(after.view()).toMatchObject({ rigIds: ["wide"], rejected: [] });
    expect(await place.reports()).toMatchObject([{ payload: { rigId: "west", filter: "off" } }]);
    const lead = await client(place.hub, { role: "lead", token: place.token, label: "laptop" });
    await lead.until("the phone is at its own rig alone", ({ presence }) => {
      return presence.rigs.wide?.length === 1 && (presence.rigs.west ?? []).length === 0;
    });
  });

  test("L5: few missed events come as events, many as the whole state; either way it is the hub's", async () => {
    const place = await site();
    for (const missed of [5, 620]) {
      const phone = await client(place.hub, place.rig("wide"));
      await phone.until("linked", (view) => view.linkState === "linked");
      phone.socket.setNetwork(false);
      await phone.until("alone", (view) => view.linkState === "alone");
      // What comes first is how it is caught up; what happens from then on is told in events in any case.
      const heard: string[] = [];
      for (const kind of ["events", "state"] as const) phone.socket.on(kind, () => heard.push(kind));
      const one = (n: number) =>
        place.hub.parts.keeper.fact(
          { sender: "test", actor: "rig:west", deviceId: "test", linkRevoked: false },
          `${missed}-${n}`,
          {
            v: 1,
            rigId: "west",
            runId: null,
            deviceSeq: n,
            observedUtcMs: place.hub.clock.now(),
            boundMs: null,
            report: { batteryPct: n % 100 },
          },
        );
      await Promise.all(Array.from({ length: missed }, (_, n) => one(n)));
      phone.socket.setNetwork(true);
      await phone.until("caught up", (view) => view.state?.seq === place.hub.parts.keeper.state.seq);
      expect(heard[0]).toBe(missed > 500 ? "state" : "events");
      expect(heard.filter((kind) => kind === "state")).toHaveLength(missed > 500 ? 1 : 0);
      expect(phone.view().state).toEqual(JSON.parse(JSON.stringify(place.hub.parts.keeper.state)));
      phone.session.stop();
    }
  });

  test("L6: when the hub goes and comes back from its file, everybody goes on and nothing is lost", async () => {
    const place = await site();
    const phone = await client(place.hub, place.rig("west"));
    const lead = await client(place.hub, { role: "lead", token: place.token, label: "laptop" });
    await phone.until("linked", (view) => view.linkState === "linked");
    await phone.session.report("west", { filter: "on", cardFreeGB: 12 });
    await phone.until("acknowledged", (view) => view.queued === 0);
    let before = 0;
    let made = 0;
    await place.restart(async () => {
      await phone.until("alone", (view) => view.linkState === "alone");
      before = phone.view().state?.seq ?? 0;
      await phone.session.report("west", { filter: "off" });
      made = phone.session.clock.now();
      expect(filterOf(phone.view())).toBe("off");
      expect(
        await giveOrder({ socket: lead.socket, newId: () => "order-1" }, { type: "cover" }),
      ).toMatchObject({ ok: false });
    });
    await phone.until("delivered", (view) => view.linkState === "linked" && view.queued === 0);
    await lead.until(
      "the lead, by its old session",
      (view) => view.linkState === "linked" && filterOf(view) === "off",
    );
    const logged = await place.reports();
    expect(logged.map((event) => event.payload.filter)).toEqual(["on", "off"]);
    expect(logged[1]?.observedUtcMs).toBeLessThanOrEqual(made);
    expect(place.hub.parts.keeper.state.seq).toBeGreaterThan(before);
    expect(place.hub.parts.keeper.state.cover).toBeNull();
    expect(place.hub.errors).toEqual([]);
  });
});

describe("L12: by how much the hub's clock is disputed", () => {
  test("goes from one phone whose clock says otherwise to every other, and is known after a reload (S5)", async () => {
    const place = await site();
    const store = new MemoryStore();
    const phone = await client(place.hub, place.rig("west"), store);
    const board = boardOf(place.hub);
    await phone.until("a clock", () => phone.session.clock.reading().state === "linked");
    expect(phone.view().clockHealth).toMatchObject({ disputed: false, apartMs: 0 });
    const other = await client(place.hub, place.rig("wide"), undefined, 90_000);
    await other.until("a clock", () => other.session.clock.reading().state === "linked");
    for (const one of [phone, other]) {
      const told = ({ clockHealth }: SessionView) => clockHealth.disputed && (clockHealth.apartMs ?? 0) > 0;
      await one.until("the dispute is known", told);
      const { apartMs = 0 } = one.view().clockHealth;
      expect(Math.abs(apartMs - 90_000)).toBeLessThan(500);
    }
    // A board is told what follows of it: when glasses go on.
    await board.until("glasses on earlier by as much", ({ board: told }) => {
      const { filterC3 = null, safeC3 = null } = told?.contacts ?? {};
      return filterC3 !== null && safeC3 !== null && filterC3 - safeC3 > 89_500;
    });
    await until("it is on the device", async () => {
      const { clock } = await store.load();
      return ((clock as { apartMs?: number } | null)?.apartMs ?? 0) > 89_000;
    });
    phone.session.stop();
    const ports = nodePorts(place.hub.url, store);
    ports.socket.setNetwork(false);
    const again = new Session(place.rig("west"), ports);
    opened.push(again);
    await again.start();
    expect(again.view().clockHealth).toMatchObject({ disputed: true });
    expect(Math.abs((again.view().clockHealth.apartMs ?? 0) - 90_000)).toBeLessThan(500);
  });
});

describe("L13: the hub's clock put right at once", () => {
  test("is told to leads and rigs, and not to boards", async () => {
    const place = await site();
    const told: string[] = [];
    const board = boardOf(place.hub);
    const lead = await client(place.hub, { role: "lead", token: place.token, label: "laptop" });
    const phone = await client(place.hub, place.rig("west"));
    for (const one of [lead, phone]) await one.until("linked", (view) => view.linkState === "linked");
    await board.until("linked", (view) => view.linkState === "linked");
    for (const [name, { socket }] of Object.entries({ board, lead, phone }))
      socket.on("clock", () => told.push(name));
    place.hub.parts.sockets.announceClock();
    // What comes after it, so that silence means something.
    await place.order({ type: "cover" });
    for (const one of [lead, phone]) await one.until("the cover is heard", (view) => view.cover);
    await board.until("the cover is heard", (view) => view.cover);
    expect(told.sort()).toEqual(["lead", "phone"]);
  });
});
