/** A board's client with ports of the test's own: SPEC L4, L6, L7, L8, L10 as far as they concern boards. */
import { describe, expect, test } from "vitest";
import { boardSnapshot } from "../../../hub/feeds/board-snapshot.ts";
import { BoardClient } from "../../../shared/link/board-client.ts";
import { GOOD_CLOCK } from "../../../shared/run/doubt.ts";
import { utcMs } from "../../../shared/time/instants.ts";
import { SiteWorld } from "../run/site-world.ts";
import { answersProbes } from "./begun.ts";
import { FakeSocket, FakeWorld, settle, WALL_AT_START } from "./fake-ports.ts";

const SNAPSHOT = boardSnapshot(SiteWorld.planned().state, utcMs(WALL_AT_START), GOOD_CLOCK);

function opened() {
  const world = new FakeWorld();
  const socket = new FakeSocket();
  const board = new BoardClient({ clock: world.clock, timers: world.port, socket });
  board.start();
  return { world, socket, board };
}

describe("a board", () => {
  test("says who it is and no more, shows the newest snapshot, and sends nothing but probes", async () => {
    const { world, socket, board } = opened();
    expect(socket.auth).toEqual({ role: "board", protocol: 1 });
    expect(board.view()).toMatchObject({ linkState: "never linked", board: null, cover: false });
    socket.open("log-1", []);
    socket.hear("board", SNAPSHOT);
    socket.hear("board", { ...SNAPSHOT, revision: 7 });
    expect(board.view()).toMatchObject({ linkState: "linked", board: { revision: 7 } });
    await world.pass(60_000);
    expect(socket.emitted).toEqual([]);
    expect(new Set(socket.requests.map(({ event }) => event))).toEqual(new Set(["probe"]));
  });

  test("L10: has the hub's time from its probes, and a bound", async () => {
    const { world, socket, board } = opened();
    expect(board.reading()).toMatchObject({ state: "none", boundMs: Number.POSITIVE_INFINITY });
    answersProbes(socket, () => WALL_AT_START + world.now + 5000);
    socket.open("log-1", []);
    await world.pass(1000);
    const { utcMs: now, boundMs, state } = board.reading();
    expect(state).toBe("linked");
    expect(Math.abs(now - (WALL_AT_START + world.now + 5000))).toBeLessThanOrEqual(boundMs);
  });

  test("L4: shows the cover when it is heard, until a snapshot says otherwise", () => {
    const { socket, board } = opened();
    socket.open("log-1", []);
    socket.hear("board", SNAPSHOT);
    socket.hear("cover", { by: "lead:Ada" });
    expect(board.view().cover).toBe(true);
    socket.hear("board", { ...SNAPSHOT, cover: true });
    socket.drop();
    expect(board.view()).toMatchObject({ cover: true, linkState: "alone" });
    socket.open("log-1", []);
    socket.hear("board", SNAPSHOT);
    expect(board.view().cover).toBe(false);
  });

  test("L6, L7: is alone with what it holds when the link is lost or silent, and knocks again and again", async () => {
    const { world, socket, board } = opened();
    const hub = () => WALL_AT_START + world.now;
    answersProbes(socket, hub);
    socket.open("log-1", []);
    socket.hear("board", SNAPSHOT);
    await world.pass(2000);
    socket.answer = () => new Promise(() => undefined);
    await world.pass(60_000);
    expect(board.view()).toMatchObject({ linkState: "alone", board: { revision: SNAPSHOT.revision } });
    const { connects } = socket;
    await world.pass(60_000);
    expect(socket.connects).toBeGreaterThan(connects);
    answersProbes(socket, hub);
    socket.open("log-1", []);
    await settle();
    expect(board.view().linkState).toBe("linked");
    board.stop();
    const { connects: last } = socket;
    await world.pass(60_000);
    expect(socket.connects).toBe(last);
  });

  test("L8: stops when it is refused for good and says why; one too many asks again after 15 s", async () => {
    const { world, socket, board } = opened();
    const many = { code: "too-many", message: "later" };
    socket.hear("connect_error", Object.assign(new Error("later"), { data: many }));
    expect(board.view().refused).toBeNull();
    const { connects } = socket;
    await world.pass(14_000);
    expect(socket.connects).toBe(connects);
    await world.pass(2000);
    expect(socket.connects).toBe(connects + 1);
    const other = { code: "protocol", message: "load it again" };
    socket.hear("connect_error", Object.assign(new Error("other"), { data: other }));
    expect(board.view().refused).toEqual(other);
    await world.pass(60_000);
    expect(socket.connects).toBe(connects + 1);
  });

  test("a page shown again asks at once, and begins no second attempt beside one under way", async () => {
    const { world, socket, board } = opened();
    board.wake();
    expect(socket.connects).toBe(1);
    socket.open("log-1", []);
    socket.drop();
    board.wake();
    expect(socket.connects).toBe(2);
    socket.open("log-1", []);
    await world.pass(100);
    const asked = socket.requests.length;
    board.noteSuspension();
    await world.pass(3000);
    expect(socket.requests.length).toBeGreaterThan(asked);
  });
});
