/**
 * TLS with an authority of one's own between hub, broker and relays: a real Redis that speaks TLS, web
 * servers with certificates that are wrong in each of the usual ways, and what a person is told.
 */
import { type ChildProcess, spawn } from "node:child_process";
import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { createServer, type Server } from "node:https";
import type { AddressInfo } from "node:net";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { createServer as tlsServer } from "node:tls";
import { afterAll, afterEach, beforeAll, describe, expect, it } from "vitest";
import { withAuthority } from "../../../hub/feeds/authority-file.ts";
import { BoardSeal } from "../../../hub/feeds/board-seal.ts";
import { boardSnapshot } from "../../../hub/feeds/board-snapshot.ts";
import { BOARD_STREAM, Broker } from "../../../hub/feeds/broker.ts";
import { type BrokerAddress, brokerAddress, webAddress } from "../../../hub/feeds/broker-address.ts";
import { MemoryLog } from "../../../hub/log/memory-log.ts";
import { makeAuthority, makeLeaf } from "../../../hub/network/certificates.ts";
import { BoardHolder } from "../../../hub/relay/held-board.ts";
import { readRelayOptions } from "../../../hub/relay/relay-options.ts";
import { brokerUpstream, type Upstream, webUpstream } from "../../../hub/relay/upstream.ts";
import { COUNTERPARTS, findProgram } from "../../../scripts/setup/debian.mjs";
import { freePort } from "../../../scripts/setup/free-port.mjs";
import { GOOD_CLOCK } from "../../../shared/run/doubt.ts";
import { utcMs } from "../../../shared/time/instants.ts";
import { SiteWorld } from "../../shared/run/site-world.ts";
import { until } from "../../support/until.ts";

const NOW = utcMs(Date.UTC(2027, 6, 25));
const DAY_MS = 86_400_000;
const TEXT = JSON.stringify(
  new BoardSeal(new MemoryLog(), {
    now: () => NOW,
    course: () => ({ epoch: "test", shiftMs: 0 }),
    slow: () => 1,
    embed: () => [],
  }).seal(boardSnapshot(SiteWorld.planned().state, NOW, GOOD_CLOCK)),
);
const WORD = { id: "relay-one", beat: 1, boards: 0, relays: 1, slow: 1 };

let folder: string;
let redis: ChildProcess;
let redisPort: number;
let ca: string;
let upstream: Upstream | undefined;
const servers: { close(): void }[] = [];
/** Certificates of the authority, by what is wrong with them. */
const pairs: Record<"good" | "expired" | "otherName", { cert: string; key: string }> = {} as never;

/** The authority's leaves name 127.0.0.1 always; the whole of 127/8 is this machine (RFC 1122, 3.2.1.3). */
const HOSTS = { good: "127.0.0.1", expired: "127.0.0.1", otherName: "127.0.0.2" } as const;

const listening = async (
  server: Server | ReturnType<typeof tlsServer>,
  which: keyof typeof HOSTS,
): Promise<number> => {
  servers.push(server);
  await new Promise<void>((resolve) => server.listen(0, HOSTS[which], resolve));
  return (server.address() as AddressInfo).port;
};

beforeAll(async () => {
  const program = findProgram("redis-server");
  if (!program)
    throw new Error(`This needs redis-server. On Debian: apt-get install ${COUNTERPARTS["redis-server"]}`);
  folder = mkdtempSync(join(tmpdir(), "noonfall-tls-"));
  const file = (name: string, text: string): string => {
    writeFileSync(join(folder, name), text);
    return join(folder, name);
  };
  const nowMs = Date.now();
  const authority = await makeAuthority("test", nowMs - 500 * DAY_MS);
  ca = file("ca.pem", authority.cert);
  pairs.good = await makeLeaf(authority, ["127.0.0.1"], nowMs);
  pairs.otherName = pairs.good;
  pairs.expired = await makeLeaf(authority, ["127.0.0.1"], nowMs - 450 * DAY_MS);
  redisPort = await freePort();
  const settings = {
    port: "0",
    "tls-port": String(redisPort),
    "tls-cert-file": file("redis.pem", pairs.good.cert),
    "tls-key-file": file("redis.key", pairs.good.key),
    "tls-ca-cert-file": ca,
    "tls-auth-clients": "no",
    bind: "127.0.0.1",
    requirepass: "sesame",
    save: "",
    dir: folder,
  };
  redis = spawn(
    program,
    Object.entries(settings).flatMap(([name, value]) => [`--${name}`, value]),
    {
      stdio: ["ignore", "pipe", "inherit"],
    },
  );
  let said = "";
  redis.stdout?.on("data", (part: Buffer) => {
    said += part.toString();
  });
  await until("Redis is up", () => /Ready to accept connections/.test(said), { told: () => said });
});
afterEach(() => {
  upstream?.stop();
  for (const server of servers.splice(0)) server.close();
});
afterAll(() => {
  redis?.kill("SIGKILL");
  rmSync(folder, { recursive: true, force: true });
});

function follow(address: BrokerAddress, how: typeof brokerUpstream): BoardHolder {
  const holder = new BoardHolder({ key: null, utcMs: () => NOW });
  upstream = how({ address, holder, word: () => WORD, id: WORD.id, path: { before: [] } });
  upstream.start();
  return holder;
}

/** What is told of it in the end. */
const told = (says: RegExp) =>
  until("it is told", () => says.test(upstream?.trouble() ?? "") && upstream?.trouble(), {
    told: () => String(upstream?.trouble()),
    limitMs: 10_000,
  });

describe("a broker with TLS (rediss)", () => {
  const at = (port: number, which: keyof typeof HOSTS = "good") =>
    brokerAddress("--from", `rediss://:sesame@${HOSTS[which]}:${port}`);

  it("is believed by the authority that was named, and by no other", async () => {
    const address = withAuthority(at(redisPort), "--publish-ca", ca);
    const publishing = new Broker(address, "--publish-ca");
    publishing.start();
    await until("it takes a document", () =>
      publishing.command("XADD", BOARD_STREAM, "*", "doc", TEXT).catch(() => null),
    );
    publishing.stop();
    const holder = follow(address, brokerUpstream);
    await until("the relay has it", () => holder.current);
    expect(holder.current?.text).toBe(TEXT);
    upstream?.stop();
    follow(at(redisPort), brokerUpstream);
    expect(await told(/does not trust/)).toContain("--from-ca FILE");
  });

  it.each([
    ["otherName", /another name/],
    ["expired", /run out/],
  ] as const)(
    "is not spoken to when its certificate is wrong (%s), and the reason is told without credentials",
    async (which, says) => {
      const port = await listening(
        tlsServer(pairs[which], (socket) => socket.on("error", () => undefined)),
        which,
      );
      follow(withAuthority(at(port, which), "--from-ca", ca), brokerUpstream);
      expect(await told(says)).not.toMatch(/sesame/);
    },
  );
});

describe("a hub or relay behind TLS (https)", () => {
  const serving = (which: keyof typeof pairs) =>
    listening(
      createServer(pairs[which], (_request, response) =>
        response.writeHead(200, { ETag: '"one"' }).end(TEXT),
      ),
      which,
    );
  const at = (port: number, which: keyof typeof HOSTS = "good") =>
    webAddress("--from", `https://${HOSTS[which]}:${port}`);

  it("is believed by the authority that was named, and by no other", async () => {
    const port = await serving("good");
    const holder = follow(withAuthority(at(port), "--from-ca", ca), webUpstream);
    await until("the relay has it", () => holder.current);
    expect(upstream?.trouble()).toBeUndefined();
    upstream?.stop();
    follow(at(port), webUpstream);
    await told(/does not trust.*--from-ca FILE/);
  });

  it.each([
    ["otherName", /another name/],
    ["expired", /run out/],
  ] as const)("is not believed when its certificate is wrong (%s)", async (which, says) => {
    const holder = follow(withAuthority(at(await serving(which), which), "--from-ca", ca), webUpstream);
    await told(says);
    expect(holder.current).toBeUndefined();
  });
});

describe("the file of an authority", () => {
  const read = (from: string, file: string) =>
    readRelayOptions(["--from", from, "--listen", "127.0.0.1:0", "--from-ca", file]);

  it("is refused in a sentence that names the option and no credentials", () => {
    const notes = join(folder, "notes.txt");
    writeFileSync(notes, "sesame");
    writeFileSync(join(folder, "leaf.pem"), pairs.good.cert);
    for (const [from, file, says] of [
      ["redis://:sesame@127.0.0.1", ca, /--from-ca is for addresses that begin with rediss/],
      ["rediss://:sesame@127.0.0.1", join(folder, "none"), /--from-ca: the file cannot be read/],
      ["rediss://:sesame@127.0.0.1", notes, /--from-ca: the file holds no certificate/],
      ["https://board.example.org", join(folder, "leaf.pem"), /not that of an authority/],
    ] as const) {
      expect(() => read(from, file)).toThrow(says);
      expect(() => read(from, file)).not.toThrow(/sesame/);
    }
    expect(read("rediss://:sesame@127.0.0.1", ca)).toMatchObject({
      from: { ca: expect.stringContaining("BEGIN") },
    });
  });
});
