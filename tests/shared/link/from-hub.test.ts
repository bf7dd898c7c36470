/** SPEC L16. What comes from the hub: heard by somebody, and looked at before it is used. */
import { describe, expect, test } from "vitest";
import { BoardClient } from "../../../shared/link/board-client.ts";
import { isAnswer } from "../../../shared/link/from-hub.ts";
import { giveOrder } from "../../../shared/link/give-order.ts";
import type { HubMessage } from "../../../shared/protocol/messages.ts";
import { begun, LEAD, linked, OK } from "./begun.ts";
import { FakeSocket, FakeWorld, settle } from "./fake-ports.ts";

/** Each message once: a missing or a made-up name is an error of types. */
const MESSAGES = Object.keys({
  welcome: 0,
  state: 0,
  events: 0,
  presence: 0,
  alerts: 0,
  cover: 0,
  coverReleased: 0,
  clock: 0,
  board: 0,
  refused: 0,
} satisfies Record<HubMessage, 0>);

/** What another version, or another program at the hub's address, might say. */
const STRANGE: readonly unknown[] = [
  undefined,
  null,
  7,
  "text",
  [],
  {},
  [null],
  [{}],
  { state: null },
  { seq: 5, state: {} },
  { rigs: null },
  { contacts: null },
  { code: 7 },
  { epoch: "x", rigIds: "west", refused: null },
  [{ seq: "1", type: 7, payload: null }],
];

function openedBoard() {
  const world = new FakeWorld();
  const socket = new FakeSocket();
  const board = new BoardClient({ clock: world.clock, timers: world.port, socket });
  board.start();
  return { socket, board };
}

describe("messages of the hub", () => {
  test("have each somebody who listens for it, and there are no others", async () => {
    const own = ["connect", "disconnect", "connect_error"];
    const { socket } = await begun();
    const heard = new Set([...socket.listensFor, ...openedBoard().socket.listensFor]);
    expect([...heard].sort()).toEqual([...MESSAGES, ...own].sort());
  });

  test("of a form nobody knows are passed over: what is known stands, and the page goes on", async () => {
    for (const role of [undefined, LEAD]) {
      const { socket, session, site } = await linked(role);
      const before = session.view();
      for (const name of MESSAGES) {
        // Covers and the clock's word need nothing beside the name.
        if (["cover", "coverReleased", "clock"].includes(name)) continue;
        for (const strange of STRANGE) socket.hear(name, strange);
      }
      await settle();
      expect({ ...session.view(), sinceUtcMs: 0 }).toEqual({ ...before, sinceUtcMs: 0 });
      site.order({ type: "sendMessage", text: "Clouds.", rigIds: null }, site.state.seq + 1e12);
      socket.hear("events", site.log.slice(-1));
      expect(session.view().state?.messages).toHaveLength(1);
    }
    const { socket, board } = openedBoard();
    for (const name of MESSAGES.filter((name) => name !== "cover"))
      for (const strange of STRANGE) socket.hear(name, strange);
    expect(board.view()).toMatchObject({ board: null, refused: null, linkState: "never linked" });
  });

  test("say cover and its release whatever comes with them (S7)", async () => {
    for (const strange of STRANGE) {
      const { socket, session } = await linked();
      socket.hear("cover", strange);
      expect(session.view().cover).toBe(true);
      socket.hear("coverReleased", strange);
      expect(session.view().cover).toBe(false);
    }
  });

  test("an event that cannot be folded is no end: the whole state is asked for, and it goes on from there", async () => {
    const { socket, session, site } = await linked();
    const seq = site.state.seq + 1;
    const odd = {
      ...site.log[0],
      seq,
      type: "rigReported",
      payload: { rigId: "west", checks: null, flags: 5 },
    };
    Object.defineProperty(odd.payload, "batteryPct", {
      get() {
        throw new Error("of another version");
      },
      enumerable: true,
    });
    expect(() => socket.hear("events", [odd])).not.toThrow();
    expect(socket.emitted.at(-1)).toEqual({ event: "resync", data: { seq: -1 } });
    socket.hear("state", { seq, state: { ...site.state, seq } });
    expect(session.view()).toMatchObject({ linkState: "linked", state: { seq } });
  });
});

describe("answers of the hub", () => {
  test("are answers only when they say whether it was taken, and if not why", () => {
    expect(isAnswer(OK)).toBe(true);
    expect(isAnswer({ ok: false, refusal: { code: "internal", message: "" } })).toBe(true);
    for (const strange of [...STRANGE, { ok: false }, { ok: 1 }, { ok: false, refusal: {} }])
      expect(isAnswer(strange)).toBe(false);
  });

  test("that are none leave a report where it is, and an order not given", async () => {
    for (const strange of STRANGE) {
      const { world, socket, session } = await linked();
      socket.answer = async () => (Array.isArray(strange) ? strange : [strange]);
      await session.report("west", { help: true });
      await world.pass(500);
      expect(session.view().queued).toBe(1);
      socket.answer = async () => strange;
      expect(await giveOrder({ socket, newId: () => "order-1" }, { type: "cover" })).toMatchObject({
        ok: false,
      });
      await world.pass(500);
      expect(session.view().queued).toBe(1);
    }
  });
});
