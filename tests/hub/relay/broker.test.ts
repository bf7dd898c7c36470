/**
 * What else is written to the broker, by mistake or on purpose, before a real Redis: relays go on with
 * the site's own word, the hub says it again and tells the lead, and neither reads without a limit.
 */
import { mkdtempSync, readFileSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { createClient } from "redis";
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, it } from "vitest";
import { BoardFeed } from "../../../hub/feeds/board-feed.ts";
import { BoardPublisher } from "../../../hub/feeds/board-publisher.ts";
import { BoardSeal } from "../../../hub/feeds/board-seal.ts";
import { boardSnapshot } from "../../../hub/feeds/board-snapshot.ts";
import { BOARD_STREAM, newestOf, RELAYS_HASH, STREAM_LENGTH } from "../../../hub/feeds/broker.ts";
import { brokerAddress } from "../../../hub/feeds/broker-address.ts";
import { RelayBook } from "../../../hub/feeds/relay-book.ts";
import { MemoryLog } from "../../../hub/log/memory-log.ts";
import { BoardHolder } from "../../../hub/relay/held-board.ts";
import { brokerUpstream, type Upstream } from "../../../hub/relay/upstream.ts";
import type { BoardSnapshot } from "../../../shared/protocol/messages.ts";
import { GOOD_CLOCK } from "../../../shared/run/doubt.ts";
import { utcMs } from "../../../shared/time/instants.ts";
import { SiteWorld } from "../../shared/run/site-world.ts";
import { brokerUrl, type Part, startRedis } from "../../support/crowd-field.ts";
import { until } from "../../support/until.ts";

const now = () => utcMs(Date.now());
const PLAIN = boardSnapshot(SiteWorld.planned().state, now(), GOOD_CLOCK);

interface Site {
  seal: BoardSeal;
  feed: BoardFeed;
  publisher: BoardPublisher;
  book: RelayBook;
  say(change: Partial<BoardSnapshot>): void;
}
interface Listener {
  holder: BoardHolder;
  upstream: Upstream;
}

let folder: string;
let redis: Part;
let stranger: ReturnType<typeof createClient>;
const sites: Site[] = [];
const listeners: Listener[] = [];

beforeAll(async () => {
  folder = mkdtempSync(join(tmpdir(), "noonfall-broker-"));
  redis = await startRedis(await brokerUrl(), folder);
  stranger = createClient({ url: redis.url });
  stranger.on("error", () => undefined);
  await stranger.connect();
});
afterAll(async () => {
  stranger?.destroy();
  await redis?.kill();
  rmSync(folder, { recursive: true, force: true });
});
beforeEach(() => stranger.flushAll());
afterEach(() => {
  for (const { upstream } of listeners.splice(0)) upstream.stop();
  for (const { publisher, feed } of sites.splice(0)) {
    publisher.stop();
    feed.close();
  }
});

const sealed = (log = new MemoryLog()) =>
  new BoardSeal(log, { now, course: () => ({ epoch: "test", shiftMs: 0 }), slow: () => 1, embed: () => [] });

function site(seal = sealed(), url = redis.url): Site {
  let snapshot = PLAIN;
  const bugs: unknown[] = [];
  const feed = new BoardFeed({ compute: () => seal.seal(snapshot), onBug: (error) => bugs.push(error) });
  const book = new RelayBook();
  const address = brokerAddress("--publish", url);
  const publisher = new BoardPublisher({ address, key: seal.key, boards: feed, book, now });
  publisher.start();
  const made = {
    ...{ seal, feed, publisher, book },
    say(change: Partial<BoardSnapshot>) {
      snapshot = { ...snapshot, ...change };
      feed.look();
    },
  };
  sites.push(made);
  return made;
}

function relay(key: string | null = null, name = "relay-one", url = redis.url): Listener {
  const holder = new BoardHolder({ key, utcMs: now });
  let beat = 0;
  const upstream = brokerUpstream({
    address: brokerAddress("--from", url),
    ...{ holder, id: name, path: { before: [] } },
    word: () => ({ id: name, beat: ++beat, boards: 3, relays: 1, slow: 1 }),
  });
  upstream.start();
  const made = { holder, upstream };
  listeners.push(made);
  return made;
}

const write = (text: string) =>
  stranger.sendCommand(["XADD", BOARD_STREAM, "MAXLEN", String(STREAM_LENGTH), "*", "doc", text]);
const forgedBy = (seal: BoardSeal, change: Partial<BoardSnapshot> = {}) =>
  JSON.stringify(seal.seal({ ...PLAIN, siteName: "Elsewhere", ...change }));
const has = (one: Listener, revision: number) =>
  until("the relay has it", () => one.holder.current?.document.revision === revision, {
    told: () => `${one.upstream.trouble()} ${one.holder.current?.text}`,
    limitMs: 10_000,
  });

describe("a stranger's document at the broker", () => {
  it("is passed over by relays that have heard the site, and a newer word of the site comes through", async () => {
    const own = site();
    const [first, told] = [relay(), relay(own.seal.key, "relay-two")];
    own.say({ revision: 2 });
    await Promise.all([has(first, 2), has(told, 2)]);
    await write(forgedBy(sealed()));
    await until("whoever runs the relay is told", () => /another site/.test(first.upstream.trouble() ?? ""));
    own.say({ revision: 3 });
    await Promise.all([has(first, 3), has(told, 3)]);
    expect(first.holder.current?.document.siteName).toBe(PLAIN.siteName);
  });

  it("stands on top for some seconds at most: the hub says its own again and the lead is told who writes", async () => {
    const own = site();
    await until("the hub's is there", () => stranger.xLen(BOARD_STREAM));
    await until("it has been told so", () => own.publisher.state().lastPublishedUtcMs);
    await write(forgedBy(sealed()));
    const newest = async () =>
      String((await stranger.xRevRange(BOARD_STREAM, "+", "-", { COUNT: 1 }))?.[0]?.message.doc);
    await until("it is told", () => own.publisher.state().others === "other site", { limitMs: 5000 });
    await until("the hub's is on top again", async () => (await newest()).includes(own.seal.key));
    expect(own.publisher.state().trouble).toBeNull();
    // Who comes new, and knows no key, takes what is on top.
    await has(relay(), PLAIN.revision);
    expect(await stranger.xLen(BOARD_STREAM)).toBeLessThanOrEqual(STREAM_LENGTH);
  });

  it("is told apart from a second hub with this site's own key", async () => {
    const log = new MemoryLog();
    const own = site(sealed(log));
    await until("the hub's is there", () => own.publisher.state().lastPublishedUtcMs);
    await write(forgedBy(sealed(log)));
    await until("it is told", () => own.publisher.state().others === "same site", { limitMs: 5000 });
  });

  it("is no board: unsigned, broken, a number made up, megabytes of it: nobody reads on and on", async () => {
    const own = site();
    const listening = relay();
    own.say({ revision: 2 });
    await has(listening, 2);
    const truth = listening.holder.current?.text ?? "";
    const liar = truth
      .replace(/"number":\d+/, '"number":9007199254740991')
      .replace('"cover":false', '"cover":true');
    const before = process.memoryUsage().rss;
    for (const text of ["", "{}", "<html>", liar, "x".repeat(30_000_000)]) {
      await write(text);
      await stranger.sendCommand(["SET", newestOf(own.seal.key), text]);
    }
    await stranger.sendCommand(["HSET", RELAYS_HASH, "relay-big", "x".repeat(30_000_000)]);
    await until("whoever runs the relay is told", () => listening.upstream.trouble(), { limitMs: 5000 });
    expect(listening.holder.current?.text).toBe(truth);
    await until("the hub has thrown it out", async () => {
      const used = await Promise.all(
        [BOARD_STREAM, RELAYS_HASH].map((name) => stranger.sendCommand(["MEMORY", "USAGE", name])),
      );
      return used.every((bytes) => Number(bytes) < 1_000_000);
    });
    expect(own.publisher.state().others).toBe("no hub");
    own.say({ revision: 3 });
    await has(listening, 3);
    await until("the hub hears the relay", () => own.book.sum().boards === 3);
    expect(process.memoryUsage().rss - before).toBeLessThan(250_000_000);
  });

  it("comes ten thousand times a second: what is new comes through to relays all the same", async () => {
    const own = site();
    const listening = relay();
    own.say({ revision: 2 });
    await has(listening, 2);
    const text = forgedBy(sealed());
    let written = 0;
    let over = false;
    const began = performance.now();
    const often = `for n = 1, 500 do redis.call("XADD", KEYS[1], "MAXLEN", ${STREAM_LENGTH}, "*", "doc", ARGV[1]) end`;
    const flood = (async () => {
      while (!over) {
        await stranger.sendCommand(["EVAL", often, "1", BOARD_STREAM, text]);
        written += 500;
        const aheadMs = written / 10 - (performance.now() - began);
        await new Promise((resolve) => setTimeout(resolve, Math.max(0, aheadMs)));
      }
    })();
    try {
      for (let revision = 3; revision < 8; revision++) {
        const asked = performance.now();
        own.say({ revision });
        await has(listening, revision);
        expect(performance.now() - asked).toBeLessThan(3000);
      }
    } finally {
      over = true;
      await flood;
    }
    expect((written / (performance.now() - began)) * 1000).toBeGreaterThan(3000);
  });
});

/** As README.md gives them for Redis's own configuration. */
const USERS = readFileSync(new URL("../../../README.md", import.meta.url), "utf8").match(/^user .*$/gm) ?? [];

describe("a broker with two users, as the readme sets them up", () => {
  it("lets the hub write and relays read; a relay's password writes no board", async () => {
    expect(USERS.map((line) => line.split(" ")[1])).toEqual(["hub", "relay", "default"]);
    for (const line of USERS.slice(0, 2)) {
      const [name = "", ...rules] = line.split(" ").slice(1);
      await stranger.sendCommand(["ACL", "SETUSER", name, ...rules]);
    }
    const as = (user: string, password: string): string =>
      redis.url.replace("//:sesame@", `//${user}:${password}@`);
    const own = site(sealed(), as("hub", "PASSWORD"));
    const listening = relay(null, "relay-one", as("relay", "OTHER"));
    own.say({ revision: 2 });
    await has(listening, 2);
    await until("the hub hears the relay", () => own.book.sum().boards === 3);
    await new Promise((resolve) => setTimeout(resolve, 2500));
    expect([own.publisher.state().trouble, listening.upstream.trouble()]).toEqual([null, undefined]);
    const relayed = createClient({ url: as("relay", "OTHER") });
    relayed.on("error", () => undefined);
    await relayed.connect();
    try {
      for (const words of [
        ["XADD", BOARD_STREAM, "*", "doc", forgedBy(sealed())],
        ["SET", newestOf(own.seal.key), forgedBy(sealed())],
        ["UNLINK", BOARD_STREAM],
      ])
        await expect(relayed.sendCommand(words)).rejects.toThrow(/NOPERM/);
    } finally {
      relayed.destroy();
    }
  });
});

describe("a broker that loses what it had", () => {
  it("is told again within some seconds, though nothing has changed", async () => {
    const own = site();
    await until("the hub's is there", () => own.publisher.state().lastPublishedUtcMs);
    await stranger.flushAll();
    await until("it is there again", () => stranger.xLen(BOARD_STREAM), { limitMs: 5000 });
    expect(own.publisher.state()).toMatchObject({ trouble: null, others: null });
  });

  it("is full: the lead is told for as long as nothing arrives, not only now and then", async () => {
    const own = site();
    await until("the hub's is there", () => own.publisher.state().lastPublishedUtcMs);
    await stranger.sendCommand(["CONFIG", "SET", "maxmemory", "1"]);
    try {
      own.say({ revision: 2 });
      await until("it is told", () => own.publisher.state().trouble);
      for (let n = 0; n < 30; n++) {
        expect(own.publisher.state().trouble).toMatch(/cannot take anything/);
        await new Promise((resolve) => setTimeout(resolve, 100));
      }
    } finally {
      await stranger.sendCommand(["CONFIG", "SET", "maxmemory", "0"]);
    }
    await until("it arrives", () => own.publisher.state().trouble === null, { limitMs: 6000 });
  });
});
