/** A broker that is away, silent, no broker at all, or does not take the password: the hub goes on, and says so. */

import type { AddressInfo } from "node:net";
import { createServer, type Server, type Socket } from "node:net";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { BoardFeed } from "../../../hub/feeds/board-feed.ts";
import { BoardPublisher } from "../../../hub/feeds/board-publisher.ts";
import { boardSnapshot } from "../../../hub/feeds/board-snapshot.ts";
import { brokerAddress } from "../../../hub/feeds/broker-address.ts";
import { RelayBook } from "../../../hub/feeds/relay-book.ts";
import { freePort } from "../../../scripts/setup/free-port.mjs";
import { GOOD_CLOCK } from "../../../shared/run/doubt.ts";
import { utcMs } from "../../../shared/time/instants.ts";
import { SiteWorld } from "../../shared/run/site-world.ts";
import { until } from "../../support/until.ts";

const NOW = utcMs(Date.UTC(2027, 6, 25));
const PLAIN = boardSnapshot(SiteWorld.planned().state, NOW, GOOD_CLOCK);

let revision = 1;
let bugs: unknown[];
let feed: BoardFeed;
let publisher: BoardPublisher | undefined;
let server: Server | undefined;
const sockets: Socket[] = [];

beforeEach(() => {
  [revision, bugs] = [1, []];
  feed = new BoardFeed({ compute: () => ({ ...PLAIN, revision }), onBug: (error) => bugs.push(error) });
});
afterEach(() => {
  publisher?.stop();
  feed.close();
  for (const socket of sockets.splice(0)) socket.destroy();
  server?.close();
});

/** Something at a port that answers what a connection says in its own way. */
async function something(answer: (said: string, socket: Socket) => void): Promise<string> {
  const made = createServer((socket) => {
    sockets.push(socket);
    socket.on("data", (data) => answer(data.toString(), socket));
    socket.on("error", () => undefined);
  });
  server = made;
  await new Promise<void>((resolve) => made.listen(0, "127.0.0.1", resolve));
  return `redis://:sesame@127.0.0.1:${(made.address() as AddressInfo).port}`;
}

function publishTo(url: string): BoardPublisher {
  const address = brokerAddress("--publish", url);
  publisher = new BoardPublisher({
    address,
    key: "A".repeat(43),
    boards: feed,
    book: new RelayBook(),
    now: () => NOW,
  });
  publisher.start();
  return publisher;
}

describe("publishing to a broker", () => {
  it.each([
    [
      "where nothing listens",
      async () => `redis://:sesame@127.0.0.1:${await freePort()}`,
      /refuses the connection/,
    ],
    ["that takes a connection and says nothing", () => something(() => undefined), /./],
    [
      "that is a web server",
      () =>
        something((_said, socket) => socket.write("HTTP/1.1 400 Bad Request\r\nContent-Length: 0\r\n\r\n")),
      /./,
    ],
    [
      "that does not take the password",
      () => something((_said, socket) => socket.write("-WRONGPASS invalid username-password pair\r\n")),
      /does not take the name or password/,
    ],
  ] as const)(
    "%s: is told in a sentence without credentials, and the feed goes on",
    async (_what, start, says) => {
      const broker = publishTo(await start());
      const had: number[] = [];
      feed.subscribe(({ snapshot }) => void had.push(snapshot.revision));
      const began = performance.now();
      for (revision = 2; revision <= 200; revision++) feed.look();
      // Two hundred changes wait for no broker.
      expect(performance.now() - began).toBeLessThan(2000);
      expect(had).toHaveLength(200);
      await until(
        "it is told",
        () => says.test(broker.state().trouble ?? "") && broker.state().trouble !== "has not answered yet",
        {
          told: () => String(broker.state().trouble),
        },
      );
      expect(JSON.stringify(broker.state())).not.toMatch(/sesame/);
      expect(broker.state().lastPublishedUtcMs).toBeNull();
      expect(bugs).toEqual([]);
    },
  );
});
