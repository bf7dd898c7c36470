/**
 * A board that fetches: what it believes, what it refuses, when it knows nothing any more. Documents are
 * signed by the hub's own seal and checked by a library of another make, as pages on plain http do.
 */
import { ed25519 } from "@noble/curves/ed25519.js";
import { beforeEach, describe, expect, test } from "vitest";
import { boardView } from "../../../console/board/board-view.ts";
import { BoardSeal } from "../../../hub/feeds/board-seal.ts";
import { boardSnapshot } from "../../../hub/feeds/board-snapshot.ts";
import { MemoryLog } from "../../../hub/log/memory-log.ts";
import { seeded } from "../../../hub/people/seeded.ts";
import { BoardFetcher, type BoardReply } from "../../../shared/link/board-fetcher.ts";
import { boardGapMs } from "../../../shared/link/board-pace.ts";
import type { BoardDocument } from "../../../shared/protocol/board-document.ts";
import type { BoardSnapshot } from "../../../shared/protocol/messages.ts";
import { GOOD_CLOCK } from "../../../shared/run/doubt.ts";
import { later, runMs, type UtcMs, utcMs } from "../../../shared/time/instants.ts";
import { SiteWorld } from "../run/site-world.ts";
import { FakeWorld, WALL_AT_START } from "./fake-ports.ts";

const PLAIN = boardSnapshot(SiteWorld.planned().state, utcMs(WALL_AT_START), GOOD_CLOCK);

/** Totality was called three seconds ago and lasts five minutes more. */
const IN_TOTALITY: BoardSnapshot = (() => {
  const at = (s: number) => runMs(WALL_AT_START + s * 1000);
  const contacts = {
    ...{ c1: at(-4800), c2: at(-5), max: at(150), c4: at(5000) },
    ...{ c3: at(305), filterC3: at(305), safeC3: at(305) },
  };
  return { ...PLAIN, kind: "total", contacts, realContacts: contacts, calledTotalityMs: at(-3) };
})();

/** A relay, with the hub behind it, and a board before it. */
class Field {
  readonly world = new FakeWorld();
  readonly asked: { etag: string | null; at: number }[] = [];
  readonly times: boolean[] = [];
  snapshot: BoardSnapshot = PLAIN;
  /** How far the relay's clock is off, ms. */
  relayOffMs = 0;
  /** How far the phone's own clock is off, ms. */
  ownOffMs = 0;
  /** How long the phone has slept: its monotonic clock stood still meanwhile, ms. */
  sleptMs = 0;
  answers = true;
  timeAnswers = true;
  /** What the relay does to what it has. */
  twist: (text: string) => string = (text) => text;
  retryAfterMs = 0;
  /** How slow the hub asks the field to be. */
  slow = 1;
  /** How far the hub's own clock is off, ms, and what it has announced of corrections. */
  hubOffMs = 0;
  course = { epoch: "one", shiftMs: 0 };
  /** What the relay says of the time, where it lies in a way of its own. */
  tells: (() => unknown) | null = null;
  /** What the relay answers instead of the board. */
  replies: ((etag: string | null) => BoardReply) | null = null;
  readonly seal = new BoardSeal(new MemoryLog(), {
    now: () => later(this.utc(), this.hubOffMs),
    slow: () => this.slow,
    embed: () => [],
    course: () => this.course,
  });
  board = this.open(this.seal.key);

  utc(): UtcMs {
    return utcMs(WALL_AT_START + this.world.now + this.sleptMs);
  }

  /** What the page would say of glasses now (board-page.tsx). */
  glasses(): "on" | "off" {
    const { board, heard, cover } = this.board.view();
    const { utcMs: now, boundMs } = this.board.reading();
    return board ? boardView(board, now, { boundMs, linked: heard, cover }).glasses : "on";
  }

  document(): BoardDocument {
    return this.seal.seal(this.snapshot);
  }

  open(key: string | null): BoardFetcher {
    return new BoardFetcher({
      clock: { mono: this.world.clock.mono, wall: () => later(this.utc(), this.ownOffMs) },
      timers: this.world.port,
      key,
      askBoard: async (etag): Promise<BoardReply> => {
        this.asked.push({ etag, at: this.world.now });
        if (!this.answers) throw new Error("nothing answers");
        if (this.retryAfterMs > 0)
          return { status: 503, text: "", etag: null, retryAfterMs: this.retryAfterMs };
        if (this.replies) return this.replies(etag);
        const text = this.twist(JSON.stringify(this.document()));
        const tag = `"${text.length}-${text.slice(-20)}"`;
        if (etag === tag) return { status: 304, text: "", etag: tag, retryAfterMs: 0 };
        return { status: 200, text, etag: tag, retryAfterMs: 0 };
      },
      askTime: async (regular) => {
        this.times.push(regular);
        if (!this.timeAnswers) throw new Error("nothing answers");
        return this.tells ? this.tells() : { utcMs: this.utc() + this.relayOffMs, boundMs: 20 };
      },
      check: async (signed, signature, key64) => {
        const bytes = (text: string) => new Uint8Array(Buffer.from(text, "base64url"));
        return ed25519.verify(bytes(signature), new TextEncoder().encode(signed), bytes(key64));
      },
      chance: () => 0.5,
    });
  }
}

let field: Field;
beforeEach(() => {
  field = new Field();
});
const view = () => field.board.view();

describe("a board that fetches", () => {
  test("shows what was signed by the key of its address, and sets its clock by five probes, then one a minute", async () => {
    field.board.start();
    await field.world.pass(2000);
    expect(view()).toMatchObject({ linkState: "linked", heard: true, trouble: null, checked: "by address" });
    expect(view().board).toMatchObject({ siteName: PLAIN.siteName });
    const { utcMs: now, boundMs, state } = field.board.reading();
    expect(state).toBe("linked");
    expect(Math.abs(now - field.utc())).toBeLessThanOrEqual(boundMs);
    expect(field.times).toEqual([false, false, false, false, false]);
    await field.world.pass(125_000);
    expect(field.times.slice(5)).toEqual([true, true]);
  });

  test("comes every ten seconds, asks with the tag it has, and is not sent the same again", async () => {
    field.board.start();
    await field.world.pass(55_000);
    expect(field.asked.map(({ at }) => Math.round((at - 1000) / 1000))).toEqual([0, 10, 20, 30, 40, 50]);
    expect(field.asked[0]?.etag).toBeNull();
    expect(field.asked[1]?.etag).toMatch(/"/);
  });

  test("refuses what was altered, and goes on with what it holds", async () => {
    field.board.start();
    await field.world.pass(2000);
    const before = view().board;
    field.snapshot = { ...PLAIN, revision: 99 };
    field.twist = (text) => text.replace('"cover":false', '"cover":true ');
    await field.world.pass(10_000);
    expect(view()).toMatchObject({ trouble: "altered", linkState: "linked", cover: false });
    expect(view().board).toBe(before);
    field.twist = () => "<html>Sign in to this network</html>";
    await field.world.pass(10_000);
    expect(view().trouble).toBe("altered");
    field.twist = (text) => text;
    await field.world.pass(10_000);
    expect(view()).toMatchObject({ trouble: null, board: { revision: 99 } });
  });

  test("refuses what another key has signed; without a key in its address it keeps to the first", async () => {
    const stranger = new Field();
    field.twist = () => JSON.stringify(stranger.document());
    field.board.start();
    await field.world.pass(2000);
    expect(view()).toMatchObject({ trouble: "other site", board: null, linkState: "never linked" });
    const plain = field.open(null);
    field.twist = (text) => text;
    plain.start();
    await field.world.pass(2000);
    expect(plain.view()).toMatchObject({ checked: "first heard", trouble: null });
    field.twist = () => JSON.stringify(stranger.document());
    await field.world.pass(10_000);
    expect(plain.view().trouble).toBe("other site");
  });

  test("refuses an older number, and knows nothing any more when what it holds has run out", async () => {
    field.board.start();
    await field.world.pass(2000);
    const old = JSON.stringify(field.document());
    field.snapshot = { ...PLAIN, cover: true };
    await field.world.pass(10_000);
    expect(view().cover).toBe(true);
    field.twist = () => old;
    await field.world.pass(10_000);
    expect(view()).toMatchObject({ trouble: "older", cover: true });
    // What it holds was signed 12 s after the start and is good for 90 s.
    await field.world.pass(85_000);
    expect(view()).toMatchObject({ linkState: "alone", heard: false, cover: true });
  });

  test("S13: with nothing heard while a call of totality stands, it is alone within twelve seconds", async () => {
    field.snapshot = { ...PLAIN, calledTotalityMs: runMs(WALL_AT_START) };
    field.board.start();
    await field.world.pass(2000);
    expect(view().heard).toBe(true);
    field.answers = false;
    field.timeAnswers = false;
    await field.world.pass(12_500);
    expect(view()).toMatchObject({ linkState: "alone", heard: false });
    field.answers = true;
    await field.world.pass(60_000);
    expect(view()).toMatchObject({ linkState: "linked", heard: true });
  });

  test("a relay whose clock is late is found out by what was signed later than its now", async () => {
    field.relayOffMs = -60_000;
    field.board.start();
    await field.world.pass(3000);
    expect(view().trouble).toBe("time");
    // Never earlier than what it has seen signed, and nobody is told to take glasses off by it.
    expect(field.board.reading().utcMs).toBeGreaterThanOrEqual(
      view().board ? field.document().issuedUtcMs : 0,
    );
    expect(field.board.reading().boundMs).toBe(Number.POSITIVE_INFINITY);
  });

  test("a hub whose clock was ahead and has been set right is believed again, without a reload", async () => {
    field.hubOffMs = 10_000;
    field.board.start();
    await field.world.pass(3000);
    expect(view().trouble).toBe("time");
    // Set back at once by a lead; announced as a correction, as to rigs.
    field.hubOffMs = 0;
    field.course = { epoch: "one", shiftMs: -10_000 };
    await field.world.pass(45_000);
    expect(view()).toMatchObject({ trouble: null, linkState: "linked" });
    const { utcMs: now, boundMs } = field.board.reading();
    expect(Math.abs(now - field.utc())).toBeLessThanOrEqual(boundMs);
    expect(boundMs).toBeLessThan(500);
    // The same where it was started anew with a clock that is right.
    const other = new Field();
    other.hubOffMs = 10_000;
    other.board.start();
    await other.world.pass(3000);
    other.hubOffMs = 0;
    other.course = { epoch: "two", shiftMs: 0 };
    await other.world.pass(45_000);
    expect(other.board.view().trouble).toBeNull();
  });

  test("a delay that begins later moves no clock back: what was signed before stands against it", async () => {
    field.snapshot = IN_TOTALITY;
    field.ownOffMs = -3 * 3_600_000;
    field.board.start();
    await field.world.pass(20_000);
    const kept: { at: number; text: string }[] = [];
    field.twist = (text) => {
      kept.push({ at: field.world.now, text });
      return kept.findLast(({ at }) => at <= field.world.now - 5000)?.text ?? kept[0]?.text ?? text;
    };
    field.relayOffMs = -5000;
    const onAt = WALL_AT_START + 290_000;
    while (field.utc() < onAt) await field.world.pass(500);
    expect(field.glasses()).toBe("on");
  });

  test("what cannot be a time is none: nothing is shown by it", async () => {
    for (const utc of [1e300, -1, 9e15, Number.NaN, "now", null]) {
      field = new Field();
      field.tells = () => ({ utcMs: utc, boundMs: 5 });
      field.board.start();
      await field.world.pass(3000);
      expect(field.board.reading().state).toBe("none");
      expect(() => new Date(field.board.reading().utcMs).toISOString()).not.toThrow();
    }
  });

  test("a 304 that nobody asked for is no answer", async () => {
    field.board.start();
    await field.world.pass(2000);
    field.snapshot = { ...PLAIN, revision: 99 };
    field.twist = (text) => text.replace('"cover":false', '"cover":true ');
    await field.world.pass(10_000);
    expect(view().trouble).toBe("altered");
    field.replies = () => ({ status: 304, text: "", etag: null, retryAfterMs: 0 });
    await field.world.pass(12_000);
    expect(view().trouble).toBe("altered");
  });

  test("S13: with 304 for ever what is held runs out, and glasses are on", async () => {
    field.snapshot = IN_TOTALITY;
    field.board.start();
    await field.world.pass(3000);
    expect(field.glasses()).toBe("off");
    field.replies = (etag) => ({ status: 304, text: "", etag, retryAfterMs: 0 });
    await field.world.pass(12_500);
    expect(field.glasses()).toBe("on");
  });

  test("S13: whatever a relay makes of time and documents, a phone set by its network is told off only between call and the hub's own instant", async () => {
    const chance = seeded("hostile relay");
    let off = 0;
    for (let round = 0; round < 6; round++) {
      field = new Field();
      field.ownOffMs = -50 * chance();
      const called = WALL_AT_START + 20_000;
      const onAt = WALL_AT_START + 290_000;
      field.snapshot = { ...IN_TOTALITY, calledTotalityMs: null };
      const documents: string[] = [];
      const spread = 10 ** (1 + 4 * chance());
      const drift = (chance() - 0.5) * 0.2;
      const way = round % 6;
      field.tells = () => {
        const jump =
          way === 1
            ? (chance() - 0.5) * spread
            : way === 2
              ? drift * field.world.now
              : way === 3
                ? -spread
                : 0;
        const boundMs = way === 4 ? 0 : chance() < 0.2 ? spread : 0;
        return { utcMs: field.utc() + (way === 5 && chance() < 0.5 ? -spread : jump), boundMs };
      };
      field.twist = (text) => {
        documents.push(text);
        const old = documents[Math.floor(chance() * documents.length)] ?? text;
        return chance() < 0.5 ? text : old;
      };
      field.board.start();
      while (field.utc() < onAt + 5000) {
        if (field.utc() >= called) field.snapshot = { ...IN_TOTALITY, calledTotalityMs: runMs(called) };
        if (chance() < 0.02) field.board.wake();
        if (field.glasses() === "off") {
          off++;
          expect(field.utc()).toBeGreaterThanOrEqual(called);
          // 50 ms of the phone's own clock, and what a page allows for its drawing is not in this bound.
          expect(field.utc()).toBeLessThan(onAt + 60);
        }
        await field.world.pass(250);
      }
    }
    // It is not that nobody is ever told.
    expect(off).toBeGreaterThan(200);
  });

  test("S5: an own clock that is ahead of the relay's counts as doubt, one that is behind does not", async () => {
    field.ownOffMs = 9000;
    field.board.start();
    await field.world.pass(3000);
    expect(field.board.reading().boundMs).toBeCloseTo(9000, -2);
    const other = new Field();
    other.ownOffMs = -9000;
    other.board.start();
    await other.world.pass(3000);
    expect(other.board.reading().boundMs).toBeLessThan(500);
  });

  test("a replay of a minute ago, with a clock to match, is not heard by a phone whose own clock is right", async () => {
    field.snapshot = { ...PLAIN, calledTotalityMs: runMs(WALL_AT_START) };
    const old = JSON.stringify(field.document());
    await field.world.pass(60_000);
    field.relayOffMs = -60_000;
    field.twist = () => old;
    field.board.start();
    await field.world.pass(3000);
    expect(view()).toMatchObject({ heard: false });
    expect(field.board.reading().boundMs).toBeGreaterThan(55_000);
  });

  test("S13: a phone set hours ahead never says off, and says why; one that is hours behind goes by the relay", async () => {
    field.snapshot = IN_TOTALITY;
    field.ownOffMs = 3 * 3_600_000;
    field.board.start();
    await field.world.pass(3000);
    expect(field.glasses()).toBe("on");
    expect(view().trouble).toBe("own clock");
    const other = new Field();
    other.snapshot = IN_TOTALITY;
    other.ownOffMs = -3 * 3_600_000;
    other.board.start();
    await other.world.pass(3000);
    expect(other.glasses()).toBe("off");
    expect(other.board.view().trouble).toBeNull();
    // The hub's own instant is 290 s after the start.
    const onAt = WALL_AT_START + 290_000;
    while (other.glasses() === "off") await other.world.pass(10);
    expect(onAt - other.utc()).toBeGreaterThanOrEqual(0);
    expect(onAt - other.utc()).toBeLessThan(100);
  });

  test("S13: a phone that slept for minutes in totality says on as soon as it wakes, until it has asked", async () => {
    for (const ownOffMs of [0, -3 * 3_600_000]) {
      field = new Field();
      field.snapshot = IN_TOTALITY;
      field.ownOffMs = ownOffMs;
      field.board.start();
      await field.world.pass(3000);
      expect(field.glasses()).toBe("off");
      field.sleptMs = 120_000;
      field.answers = false;
      field.timeAnswers = false;
      await field.world.pass(600);
      expect(field.glasses()).toBe("on");
      field.answers = true;
      field.timeAnswers = true;
      await field.world.pass(8000);
      expect(field.glasses()).toBe("off");
      field.sleptMs = 300_000;
      await field.world.pass(5000);
      expect(field.glasses()).toBe("on");
    }
  });

  test("S5: a phone's clock that is set in totality is asked about at once", async () => {
    field.snapshot = IN_TOTALITY;
    field.board.start();
    await field.world.pass(3000);
    for (const [setMs, after] of [
      [3_600_000, "on"],
      [0, "off"],
      [-3_600_000, "off"],
    ] as const) {
      field.ownOffMs = setMs;
      await field.world.pass(2500);
      expect(field.glasses()).toBe(after);
    }
  });

  test("S13: asked to come four times slower, it goes on hearing a call of totality, with nobody told on meanwhile", async () => {
    field.slow = 4;
    field.snapshot = IN_TOTALITY;
    field.board.start();
    await field.world.pass(3000);
    for (let s = 0; s < 120; s++) {
      await field.world.pass(1000);
      expect(field.glasses()).toBe("off");
    }
    // Cut off, it says on as soon as any other.
    field.answers = false;
    await field.world.pass(12_500);
    expect(field.glasses()).toBe("on");
  });

  test("says what it cannot check instead of believing it", async () => {
    const board = new BoardFetcher({
      clock: field.world.clock,
      timers: field.world.port,
      key: field.seal.key,
      askBoard: async () => ({
        status: 200,
        text: JSON.stringify(field.document()),
        etag: null,
        retryAfterMs: 0,
      }),
      askTime: async () => null,
      check: () => Promise.reject(new Error("no such curve")),
      chance: () => 0.5,
    });
    board.start();
    await field.world.pass(2000);
    expect(board.view()).toMatchObject({ trouble: "uncheckable", board: null });
    expect(board.reading().boundMs).toBe(Number.POSITIVE_INFINITY);
    board.stop();
  });

  test("backs off where nothing answers, and does not come back before it is asked to", async () => {
    field.answers = false;
    field.board.start();
    await field.world.pass(300_000);
    expect(field.asked.length).toBeLessThan(10);
    field.answers = true;
    field.retryAfterMs = 30_000;
    const other = new Field();
    other.retryAfterMs = 30_000;
    other.board.start();
    await other.world.pass(44_000);
    expect(other.asked).toHaveLength(1);
  });

  test("told by a cache that what it got is old, it comes again after that second, once", async () => {
    const text = () => JSON.stringify(field.document());
    field.replies = () => ({ status: 200, text: text(), etag: null, retryAfterMs: 1000 });
    field.board.start();
    await field.world.pass(13_000);
    const gaps = field.asked.map(({ at }, n) => at - (field.asked[n - 1]?.at ?? at)).slice(1);
    expect(gaps.map((ms) => Math.round(ms / 100))).toEqual([11, 100, 11]);
  });

  test("looks at once when its page is shown again", async () => {
    field.board.start();
    await field.world.pass(5000);
    const asked = field.asked.length;
    field.board.wake();
    await field.world.pass(10);
    expect(field.asked.length).toBe(asked + 1);
    field.board.stop();
    await field.world.pass(100_000);
    expect(field.asked.length).toBe(asked + 1);
  });
});

describe("the pace of fetching", () => {
  const document = (more: Partial<BoardDocument> = {}) => ({ ...field.document(), ...more });
  const gap = (nowUtcMs: number, more: Partial<BoardDocument> = {}, chance = 0.5) =>
    boardGapMs({ document: document(more), nowUtcMs: utcMs(nowUtcMs), failures: 0, retryAfterMs: 0, chance });

  test("is ten seconds within a fifth, two near a contact, and slower where the document asks for it", () => {
    const { c2, c3, c1 } = PLAIN.contacts;
    expect([gap(WALL_AT_START), gap(WALL_AT_START, {}, 0), gap(WALL_AT_START, {}, 1)]).toEqual([
      10_000, 8000, 12_000,
    ]);
    expect(gap((c2 ?? 0) - 59_000)).toBe(2000);
    expect(gap((c3 ?? 0) + 59_000)).toBe(2000);
    expect(gap((c1 ?? 0) + 30_000)).toBe(10_000);
    expect(gap(WALL_AT_START, { slow: 4 })).toBe(40_000);
  });

  test("backs off to a minute, near a contact to eight seconds", () => {
    const failing = (nowUtcMs: number) =>
      boardGapMs({
        document: document(),
        nowUtcMs: utcMs(nowUtcMs),
        failures: 9,
        retryAfterMs: 0,
        chance: 0.5,
      });
    expect(failing(WALL_AT_START)).toBe(60_000);
    expect(failing(PLAIN.contacts.c2 ?? 0)).toBe(8000);
  });

  test("S13: is at most twice as slow while a call of totality stands, whoever asks for it", () => {
    const c2 = PLAIN.contacts.c2 ?? 0;
    const called = { calledTotalityMs: runMs(c2), slow: 4 };
    expect(gap(c2 + 1000, { slow: 4 })).toBe(8000);
    expect(gap(c2 + 1000, called)).toBe(4000);
    expect(gap(c2 + 1000, { ...called, calledReturnMs: runMs(c2) })).toBe(8000);
  });

  test("goes by the practice while one is on", () => {
    const { c2 } = PLAIN.contacts;
    const practice = {
      startedUtcMs: utcMs(WALL_AT_START),
      startRunMs: runMs((c2 ?? 0) - 30_000),
      rate: 1,
      endsAtUtcMs: utcMs(WALL_AT_START + 600_000),
    };
    expect(gap(WALL_AT_START + 1000, { practice })).toBe(2000);
    expect(gap(WALL_AT_START + 700_000, { practice })).toBe(10_000);
  });
});
