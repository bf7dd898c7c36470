/** SPEC L8, L14, L15: phones whose links are not good, hubs that are not theirs, rigs that were left. */
import { describe, expect, test } from "vitest";
import type { SessionRole } from "../../../shared/link/session.ts";
import { begun, factsSent, idsOf, linked, OK, RIG } from "./begun.ts";
import { type FakeSocket, settle, WALL_AT_START } from "./fake-ports.ts";

const NOT_ALLOWED = { code: "not-allowed", message: "none of this phone's links is good any more" };
const REVOKED = { rigId: "west", reason: "revoked" };
const BAD = { rigId: "west", reason: "bad link" };

/** A hub that knows none of the phone's links. */
function strange(socket: FakeSocket, epoch = "log-2"): void {
  socket.open(epoch, [], [BAD]);
  socket.hear("refused", NOT_ALLOWED);
}

describe("L8: a phone whose links were revoked", () => {
  test("still delivers what it had queued, and is not called linked", async () => {
    const { socket, session } = await begun();
    await session.report("west", { help: true });
    socket.answer = async (event) => (event === "facts" ? [OK] : Promise.reject());
    socket.open("log-1", [], [REVOKED]);
    await Promise.resolve();
    await Promise.resolve();
    expect(factsSent(socket)).toEqual([["id-1"]]);
    expect(session.view()).toMatchObject({
      queued: 0,
      state: null,
      refusedRigs: [REVOKED],
      linkState: "never linked",
    });
  });

  test("is alone with what it knew, from the welcome on, however often it comes back", async () => {
    const { socket, session, site } = await linked();
    for (let time = 0; time < 2; time++) {
      socket.drop();
      socket.open("log-1", [], [REVOKED]);
      expect(session.view()).toMatchObject({ linkState: "alone", refusedRigs: [REVOKED] });
    }
    expect(session.view().state).toEqual(site.state);
    // One good link is enough for the phone: the notice is about the rig.
    socket.drop();
    socket.open("log-1", ["west"]);
    socket.hear("events", []);
    expect(session.view()).toMatchObject({ linkState: "linked", refusedRigs: [] });
  });

  test("goes on to show what it has reported, though nobody tells it any more, and after a reload (L9)", async () => {
    const { socket, session, store } = await linked();
    socket.drop();
    socket.open("log-1", [], [REVOKED]);
    socket.answer = async (event) => (event === "facts" ? [OK] : Promise.reject());
    const filter = (of: typeof session) =>
      Object.values(of.view().state?.runs["real-2027-08-02"]?.rigs.west?.filter.byDevice ?? {}).map(
        ({ value }) => value,
      );
    await session.report("west", { filter: "off" });
    await settle();
    expect(session.view().queued).toBe(0);
    expect(filter(session)).toEqual(["off"]);
    expect(filter((await begun(RIG, store)).session)).toEqual(["off"]);
  });

  test("hears “cover every lens” and its release, and nothing else (S7)", async () => {
    const { socket, session, site } = await linked();
    socket.drop();
    socket.open("log-1", [], [REVOKED]);
    const known = session.view().state;
    socket.hear("cover", { by: "lead:Ada" });
    expect(session.view()).toMatchObject({ cover: true, linkState: "alone" });
    socket.hear("coverReleased", {});
    expect(session.view().cover).toBe(false);
    site.order({ type: "sendMessage", text: "For others", rigIds: null }, WALL_AT_START);
    site.order({ type: "cover" }, WALL_AT_START + 1);
    socket.hear("events", site.log.slice(-2));
    expect(session.view().cover).toBe(true);
    site.order({ type: "releaseCover" }, WALL_AT_START + 2);
    socket.hear("events", site.log.slice(-1));
    expect(session.view().cover).toBe(false);
    expect(session.view().state).toEqual(known);
    expect(socket.emitted.filter(({ event }) => event === "resync")).toEqual([]);
  });

  test("is released from a cover that it had seen in the log before it was revoked", async () => {
    const { socket, session, site } = await linked();
    site.order({ type: "cover" }, WALL_AT_START);
    socket.hear("events", site.log.slice(-1));
    socket.drop();
    socket.open("log-1", [], [REVOKED]);
    expect(session.view().cover).toBe(true);
    socket.hear("coverReleased", {});
    expect(session.view().cover).toBe(false);
    socket.hear("cover", { by: "lead:Ada" });
    expect(session.view().cover).toBe(true);
  });

  test("knows it after a reload without a hub, until it has a new link", async () => {
    const first = await linked();
    first.socket.drop();
    first.socket.open("log-1", [], [REVOKED]);
    first.socket.hear("cover", { by: "lead:Ada" });
    first.session.stop();
    const again = await begun(RIG, first.store);
    expect(again.session.view()).toMatchObject({ linkState: "alone", refusedRigs: [REVOKED], cover: true });
    const renewed: SessionRole = { role: "rig", rigs: [{ id: "west", token: "new" }], label: "phone" };
    const scanned = await begun(renewed, first.store);
    expect(scanned.session.view()).toMatchObject({ refusedRigs: [], cover: true });
  });
});

describe("L8: a newer code for a rig that the phone holds", () => {
  const tokens = ({ auth }: FakeSocket) => (auth?.role === "rig" ? auth.rigs : []);
  const scanned: SessionRole = {
    role: "rig",
    rigs: [{ id: "west", token: "newer", former: "t" }],
    label: "phone",
  };

  test.each([BAD, REVOKED])(
    "does not part it from its rig when the hub does not take it ($reason)",
    async (word) => {
      const { socket, session, site } = await linked(RIG);
      if (scanned.role !== "rig") throw new Error("a rig's");
      const before = socket.connects;
      session.join(scanned.rigs);
      expect(session.view().state).toEqual(site.state);
      expect(tokens(socket)).toEqual([{ id: "west", token: "newer" }]);
      socket.open("log-1", [], [word]);
      // Not even for a moment: the one before is tried at once.
      expect(session.view()).toMatchObject({ refusedRigs: [], linkState: "alone" });
      expect(socket.connects).toBe(before + 2);
      expect(tokens(socket)).toEqual([{ id: "west", token: "t" }]);
      socket.open();
      socket.hear("events", []);
      expect(session.view()).toMatchObject({
        linkState: "linked",
        refusedRigs: [],
        links: [{ id: "west", token: "t" }],
        formerKept: ["west"],
      });
    },
  );

  test("takes the former's place when the hub takes it, and only then", async () => {
    const { socket, session } = await linked(scanned);
    expect(session.view()).toMatchObject({ links: [{ id: "west", token: "newer" }], formerKept: [] });
    socket.drop();
    socket.open("log-1", [], [REVOKED]);
    expect(session.view().refusedRigs).toEqual([REVOKED]);
    const alone = await begun(scanned);
    expect(alone.session.view().links).toEqual([{ id: "west", token: "newer", former: "t" }]);
  });

  test("of which neither is good is told so, and both are asked for again", async () => {
    const { world, socket, session } = await linked();
    session.join([{ id: "west", token: "newer", former: "t" }]);
    for (const token of ["newer", "t"]) {
      expect(tokens(socket)).toEqual([{ id: "west", token }]);
      socket.open("log-1", [], [REVOKED]);
      if (token === "t") socket.hear("refused", NOT_ALLOWED);
    }
    expect(session.view().refusedRigs).toEqual([REVOKED]);
    await world.pass(31_000);
    expect(tokens(socket)).toEqual([{ id: "west", token: "newer" }]);
    socket.open();
    socket.hear("events", []);
    expect(session.view()).toMatchObject({
      linkState: "linked",
      links: [{ id: "west", token: "newer" }],
      formerKept: [],
    });
  });

  // A phone whose link was revoked goes on showing its cues; a joke of a code must not take them away.
  test("that is nobody's, where the former was revoked, leaves the milder word standing at every attempt", async () => {
    const { world, socket, session } = await linked();
    socket.drop();
    socket.open("log-1", [], [REVOKED]);
    session.join([{ id: "west", token: "joke", former: "t" }]);
    const both = () => {
      for (const [token, word] of [
        ["joke", BAD],
        ["t", REVOKED],
      ] as const) {
        expect(tokens(socket)).toEqual([{ id: "west", token }]);
        socket.open("log-1", [], [word]);
      }
    };
    both();
    expect(session.view().refusedRigs).toEqual([REVOKED]);
    const said: string[] = [];
    session.subscribe(() => said.push(JSON.stringify(session.view().refusedRigs)));
    for (let time = 0; time < 3; time++) {
      socket.drop();
      await world.pass(31_000);
      both();
    }
    expect(new Set(said)).toEqual(new Set([JSON.stringify([REVOKED])]));
    expect(session.view().links).toEqual([{ id: "west", token: "joke", former: "t" }]);
  });

  test("and another hub at the address: both links are kept for the right one", async () => {
    const { world, socket, session } = await linked();
    session.join([{ id: "west", token: "newer", former: "t" }]);
    for (let attempt = 0; attempt < 4; attempt++) {
      strange(socket);
      await world.pass(16_000);
    }
    expect(session.view().refusedRigs).toEqual([{ rigId: "west", reason: "other hub" }]);
    expect(session.view().links).toEqual([{ id: "west", token: "newer", former: "t" }]);
  });
});

describe("a phone that joins or leaves a rig while its page stands", () => {
  test("keeps state, clock and what waits, and comes in anew with its links", async () => {
    const { socket, session, site } = await linked();
    socket.answer = async () => Promise.reject();
    await session.report("west", { filter: "off" });
    session.join([
      { id: "west", token: "t" },
      { id: "wide", token: "w" },
    ]);
    expect(session.view()).toMatchObject({ linkState: "alone", queued: 1, rigIds: ["west", "wide"] });
    expect(session.view().state?.plan).toEqual(site.state.plan);
    expect(socket.auth).toMatchObject({ last: { epoch: "log-1", seq: site.state.seq } });
    socket.open("log-1", ["west", "wide"]);
    socket.hear("events", []);
    expect(session.view()).toMatchObject({ linkState: "linked", rigIds: ["west", "wide"] });
    session.join([{ id: "wide", token: "w" }], [{ id: "west", token: "t" }]);
    expect(session.view()).toMatchObject({ queued: 1, rigIds: ["wide"] });
  });

  test("still knows of a link that was revoked", async () => {
    const { socket, session } = await linked();
    socket.drop();
    socket.open("log-1", [], [REVOKED]);
    session.join([
      { id: "west", token: "t" },
      { id: "wide", token: "w" },
    ]);
    expect(session.view().refusedRigs).toEqual([REVOKED]);
  });
});

describe("L14: a hub that knows none of the phone's links", () => {
  test("takes nothing from the phone: it goes on from what it holds", async () => {
    const { socket, session, site } = await linked();
    await session.report("west", { filter: "off" });
    const held = session.view().state;
    socket.drop();
    strange(socket);
    const view = session.view();
    expect(view).toMatchObject({ linkState: "alone", queued: 1, refused: { code: "not-allowed" } });
    expect(view.refusedRigs).toEqual([{ rigId: "west", reason: "other hub" }]);
    expect(view.state).toEqual(held);
    expect(view.state?.seq).toBe(site.state.seq);
    // Nor does it get what was reported to another site.
    expect(factsSent(socket).length).toBe(1);
  });

  test("is asked again every 10 to 30 s, and the right one is recognised when it is back", async () => {
    const { world, socket, session, site } = await linked();
    socket.drop();
    strange(socket);
    const truths: string[] = [];
    session.subscribe(() => truths.push(session.view().linkState));
    for (let time = 0; time < 3; time++) {
      const before = socket.connects;
      await world.pass(9000);
      expect(socket.connects).toBe(before);
      for (let s = 0; socket.connects === before && s < 21; s++) await world.pass(1000);
      expect(socket.connects).toBe(before + 1);
      expect(socket.auth).toMatchObject({ last: { epoch: "log-1", seq: site.state.seq } });
      strange(socket);
    }
    expect([...new Set(truths)]).toEqual(["alone"]);
    await world.pass(30_000);
    socket.open();
    socket.hear("events", []);
    expect(session.view()).toMatchObject({ linkState: "linked", refused: null, refusedRigs: [] });
  });

  test("is asked at once when the page is shown again", async () => {
    const { socket, session } = await linked();
    socket.drop();
    strange(socket);
    const before = socket.connects;
    session.wake();
    expect(socket.connects).toBe(before + 1);
  });

  test("does not lift what the phone's own hub had said of a link", async () => {
    const { socket, session } = await linked();
    socket.drop();
    socket.open("log-1", [], [REVOKED]);
    socket.drop();
    strange(socket);
    expect(session.view().refusedRigs).toEqual([REVOKED]);
  });

  test("has the last word on a link that its own log knows, or of a phone that holds nothing", async () => {
    const { socket, session } = await linked();
    socket.drop();
    strange(socket, "log-1");
    expect(session.view()).toMatchObject({ linkState: "alone", refusedRigs: [BAD] });
    const fresh = await begun();
    strange(fresh.socket);
    expect(fresh.session.view()).toMatchObject({ linkState: "never linked", refusedRigs: [BAD] });
    await fresh.world.pass(31_000);
    expect(fresh.socket.connects).toBeGreaterThan(1);
  });
});

describe("L15: a rig that was left", () => {
  const left = [{ id: "west", token: "t" }];
  const wide = [{ id: "wide", token: "w" }];
  const links = ({ auth }: FakeSocket) => (auth?.role === "rig" ? auth.rigs.map(({ id }) => id) : []);

  /** A phone that reported of "west" out of reach and was reloaded after leaving it. */
  async function leaving(rigs: typeof left) {
    const first = await linked();
    first.socket.drop();
    await first.session.report("west", { filter: "off" });
    first.session.stop();
    return begun({ role: "rig", rigs, left, label: "phone" }, first.store);
  }

  test("is spoken for until its reports are out, and is no rig of this phone's meanwhile", async () => {
    const { world, socket, session } = await leaving(wide);
    socket.answer = async (event, data) => (event === "facts" ? idsOf(data).map(() => OK) : Promise.reject());
    expect(links(socket)).toEqual(["wide", "west"]);
    socket.open("log-1", ["wide", "west"]);
    socket.hear("events", []);
    expect(session.view().rigIds).toEqual(["wide"]);
    await world.pass(100);
    expect(session.view().queued).toBe(0);
    expect(factsSent(socket)).toEqual([["id-1"]]);
    // Else the lead would go on seeing this phone at the rig it has left.
    await world.pass(1000);
    expect(links(socket)).toEqual(["wide"]);
  });

  test("says nothing of a link that is not good any more", async () => {
    const { socket, session } = await leaving(wide);
    socket.open("log-1", ["wide"], [REVOKED]);
    expect(session.view().refusedRigs).toEqual([]);
  });

  test("as the last one still delivers; then nobody knocks any more", async () => {
    const { world, socket, session } = await leaving([]);
    socket.answer = async (event, data) => (event === "facts" ? idsOf(data).map(() => OK) : Promise.reject());
    expect(links(socket)).toEqual(["west"]);
    socket.open("log-1", ["west"]);
    socket.hear("events", []);
    await world.pass(1000);
    expect(session.view().queued).toBe(0);
    expect(socket.connected).toBe(false);
    const { connects } = socket;
    await world.pass(60_000);
    expect(socket.connects).toBe(connects);
  });

  test("of which nothing waits is not spoken for", async () => {
    const { socket } = await begun({ role: "rig", rigs: wide, left, label: "phone" });
    expect(links(socket)).toEqual(["wide"]);
  });
});

describe("L2: a phone whose link sends too much, in whosever hands", () => {
  test("is turned away at the door for a while, asks again by itself and says nothing of it", async () => {
    const { socket, session, world } = await linked();
    socket.drop();
    await session.report("west", { filter: "off" });
    const connects = socket.connects;
    socket.hear("connect_error", {
      data: { code: "too-many", message: "wait", data: { retryAfterMs: 5000 } },
    });
    expect(session.view()).toMatchObject({ linkState: "alone", refused: null, queued: 1 });
    await world.pass(14_000);
    expect(socket.connects).toBe(connects);
    await world.pass(20_000);
    expect(socket.connects).toBeGreaterThan(connects);
    socket.answer = async (event) => (event === "facts" ? [OK] : Promise.reject());
    socket.open();
    socket.hear("events", []);
    await settle();
    expect(session.view()).toMatchObject({ linkState: "linked", queued: 0 });
  });
});
