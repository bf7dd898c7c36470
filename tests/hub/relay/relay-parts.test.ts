/** What a relay keeps, counts and says: bounded, and no person in it. */
import { brotliDecompressSync, gunzipSync } from "node:zlib";
import { describe, expect, it } from "vitest";
import { BoardSeal } from "../../../hub/feeds/board-seal.ts";
import { boardSnapshot } from "../../../hub/feeds/board-snapshot.ts";
import { RelayBook } from "../../../hub/feeds/relay-book.ts";
import { type RelayWord, readRelayWord } from "../../../hub/feeds/relay-word.ts";
import { MemoryLog } from "../../../hub/log/memory-log.ts";
import { BoardHolder, codingFor } from "../../../hub/relay/held-board.ts";
import { Looks, Strain } from "../../../hub/relay/looks.ts";
import { GOOD_CLOCK } from "../../../shared/run/doubt.ts";
import { utcMs } from "../../../shared/time/instants.ts";
import { SiteWorld } from "../../shared/run/site-world.ts";

const NOW = utcMs(Date.UTC(2027, 6, 25));
const SNAPSHOT = boardSnapshot(SiteWorld.planned().state, NOW, GOOD_CLOCK);
let ms = 0;
const sealed = () =>
  new BoardSeal(new MemoryLog(), {
    now: () => utcMs(NOW + ms),
    course: () => ({ epoch: "test", shiftMs: 0 }),
    slow: () => 1,
    embed: () => [],
  });
const holding = (key: string | null = null) =>
  new BoardHolder({ key, utcMs: () => NOW + ms, monoMs: () => ms });
const WORD: RelayWord = { id: "relay-one", beat: 1, boards: 120, relays: 1, slow: 1 };

describe("what a relay holds", () => {
  it("is the newest document, compressed ahead in every coding", () => {
    const holder = holding();
    const text = JSON.stringify(sealed().seal(SNAPSHOT));
    expect(holder.take(text)).toBeNull();
    const { bodies, etag } = holder.current ?? { bodies: undefined, etag: "" };
    expect(gunzipSync(bodies?.gzip ?? "").toString()).toBe(text);
    expect(brotliDecompressSync(bodies?.br ?? "").toString()).toBe(text);
    expect(etag).toMatch(/^W\/"[\w-]{22}"$/);
  });

  it("stays where something older, or no document at all, arrives", () => {
    const holder = holding();
    const seal = sealed();
    const [older, newer] = [1, 2].map((revision) => JSON.stringify(seal.seal({ ...SNAPSHOT, revision })));
    holder.take(newer ?? "");
    expect(holder.take(older ?? "")).toBe("older");
    for (const text of ["", "{}", "<html>", "x".repeat(20_000)]) expect(holder.take(text)).toBe("no board");
    expect(holder.current?.text).toBe(newer);
  });

  it("is what the site has signed: altered bytes, or a number that was made up, are passed over", () => {
    const holder = holding();
    const seal = sealed();
    const text = JSON.stringify(seal.seal(SNAPSHOT));
    const forged = text.replace(/"number":\d+/, '"number":9007199254740991');
    expect(holder.take(forged)).toBe("altered");
    expect(holder.take(text)).toBeNull();
    expect(holder.take(forged)).toBe("altered");
    expect(holder.take(text.replace('"cover":false', '"cover":true'))).toBe("older");
    expect(holder.current?.text).toBe(text);
  });

  it("is one site's: another's word is passed over until what is held has run out, then a new site's is taken", () => {
    const holder = holding();
    const seal = sealed();
    const other = sealed();
    holder.take(JSON.stringify(seal.seal(SNAPSHOT)));
    expect(holder.take(JSON.stringify(other.seal(SNAPSHOT)))).toBe("other site");
    ms = 89_000;
    expect(holder.take(JSON.stringify(other.seal(SNAPSHOT)))).toBe("other site");
    ms = 91_000;
    expect(holder.take(JSON.stringify(other.seal(SNAPSHOT)))).toBeNull();
    expect(holder.key()).toBe(other.key);
    // A document of yesterday keeps nobody out.
    const late = holding();
    const yesterday = JSON.stringify(seal.seal({ ...SNAPSHOT, revision: 7 }));
    ms = 86_400_000;
    expect(late.take(yesterday)).toBeNull();
    expect(late.take(JSON.stringify(other.seal(SNAPSHOT)))).toBeNull();
    ms = 0;
  });

  it("is that of the key it was told, and of no other, ever", () => {
    const [seal, other] = [sealed(), sealed()];
    const holder = holding(seal.key);
    expect(holder.take(JSON.stringify(other.seal(SNAPSHOT)))).toBe("other site");
    expect(holder.current).toBeUndefined();
    expect(holder.take(JSON.stringify(seal.seal(SNAPSHOT)))).toBeNull();
    ms = 1e9;
    expect(holder.take(JSON.stringify(other.seal(SNAPSHOT)))).toBe("other site");
    ms = 0;
  });

  it("goes out in a coding that is asked for (RFC 9110, 12.5.3)", () => {
    expect(codingFor(undefined)).toBe("identity");
    expect(codingFor("gzip, deflate, br;q=1.0")).toBe("br");
    expect(codingFor("gzip;q=0.5, br;q=0")).toBe("gzip");
    expect(codingFor("gzip;q=0, broken")).toBe("identity");
  });
});

describe("looks", () => {
  it("are counted by fetches where they arrive, and by questions for the time behind a cache", () => {
    let now = 0;
    const looks = new Looks(() => now);
    for (let n = 0; n < 300; n++) {
      now += 100;
      looks.noteBoard();
    }
    // Ten a second: a hundred boards that come every ten seconds.
    expect(looks.count()).toBeGreaterThan(90);
    expect(looks.count()).toBeLessThan(111);
    for (let n = 0; n < 5000; n++) {
      now += 12;
      looks.noteTime();
    }
    expect(looks.count()).toBeGreaterThan(4800);
    now += 120_000;
    expect(looks.count()).toBe(0);
  });

  it("are boards, not fetches: a hundred are a hundred near a contact, where each comes every two seconds, and under strain", () => {
    for (const gapMs of [2000, 10_000, 40_000]) {
      let now = 0;
      const looks = new Looks(() => now);
      for (; now < 60_000; now += gapMs / 100) looks.noteBoard(gapMs);
      expect(looks.count()).toBeGreaterThan(85);
      expect(looks.count()).toBeLessThan(115);
    }
  });

  it("are asked to be fewer at once under strain, and more again after a quiet while", () => {
    const strain = new Strain();
    expect([0.9, 0.9, 0.9].map((busy, s) => strain.judge(busy, s * 1000))).toEqual([2, 4, 4]);
    const quiet = Array.from({ length: 40 }, (_, s) => strain.judge(0.1, 3000 + s * 1000));
    expect([quiet[10], quiet[16], quiet.at(-1)]).toEqual([4, 2, 1]);
  });
});

describe("the hub's book of relays", () => {
  it("adds up who has said something new lately, and lets only the broker's slow the field", () => {
    let now = 0;
    const book = new RelayBook(() => now);
    expect(book.sum()).toEqual({ relays: 0, boards: 0, lastHeardMs: null });
    book.note(WORD, true);
    book.note({ ...WORD, id: "relay-two", boards: 80, relays: 3, slow: 4 }, false);
    now = 1000;
    expect(book.sum()).toEqual({ relays: 4, boards: 200, lastHeardMs: 1000 });
    expect(book.slow()).toBe(1);
    book.note({ ...WORD, beat: 2, slow: 2 }, true);
    expect(book.slow()).toBe(2);
    now = 10_500;
    // The same word again: it has died, and what it left stands at the broker.
    book.note({ ...WORD, id: "relay-two", boards: 80, relays: 3, slow: 4 }, false);
    expect(book.sum()).toMatchObject({ relays: 1, boards: 120 });
  });

  it("takes no more than two hundred", () => {
    const book = new RelayBook(() => 0);
    for (let n = 0; n < 1000; n++) book.note({ ...WORD, id: `relay-${n + 1000}` }, false);
    expect(book.sum().relays).toBe(200);
  });

  it("has room for a relay that the broker knows, whoever else says to be one", () => {
    const book = new RelayBook(() => 0);
    for (let n = 0; n < 1000; n++) book.note({ ...WORD, id: `stranger-${n + 1000}`, slow: 4 }, false);
    book.note({ ...WORD, slow: 2 }, true);
    expect(book.slow()).toBe(2);
    expect(book.sum().relays).toBe(200);
  });

  it("reads a relay's word strictly", () => {
    expect(readRelayWord(JSON.stringify(WORD))).toEqual(WORD);
    const wrong = [
      undefined,
      "",
      "{",
      JSON.stringify({ ...WORD, more: 1 }),
      JSON.stringify({ ...WORD, boards: -1 }),
    ];
    for (const text of [
      ...wrong,
      JSON.stringify({ ...WORD, id: "a b" }),
      JSON.stringify({ ...WORD, slow: 99 }),
    ])
      expect(readRelayWord(text)).toBeUndefined();
  });
});
