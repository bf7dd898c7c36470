/** A relay put together: where the board comes from, what it holds, its clock, its server. */
import type { Server } from "node:http";
import type { AddressInfo } from "node:net";
import { boardGapMs } from "../../shared/link/board-pace.ts";
import { machinePorts, type TimeSource } from "../clock/ports.ts";
import { NetworkTime } from "../clock/sources/network-time.ts";
import { SystemClock } from "../clock/sources/system-clock.ts";
import { RelayBook } from "../feeds/relay-book.ts";
import type { RelayPath, RelayWord } from "../feeds/relay-word.ts";
import { newId } from "../new-id.ts";
import { BoardHolder } from "./held-board.ts";
import { Looks, Strain } from "./looks.ts";
import { RelayClock } from "./relay-clock.ts";
import type { RelayOptions } from "./relay-options.ts";
import { createRelayServer } from "./relay-server.ts";
import { brokerUpstream, type UpstreamPorts, webUpstream } from "./upstream.ts";
import { UpstreamTime } from "./upstream-time.ts";

const STRAIN_LOOK_MS = 1000;

export interface Relay {
  /** As bound: port 0 takes a free one. */
  port: number;
  /** What says that it does well, and what not. */
  health(): RelayHealth;
  close(): Promise<void>;
}

export interface RelayHealth {
  status: "ok";
  role: "relay";
  /** Why nothing comes from upstream; null while it does. */
  trouble: string | null;
  /** Number of the document it hands out, and since when upstream was last heard, ms; null before any. */
  number: number | null;
  heardMsAgo: number | null;
  boards: number;
  slow: number;
  boundMs: number;
}

/** Rejects with the error of listening where the address cannot be had. */
export async function startRelay(options: RelayOptions, pagesDir: string): Promise<Relay> {
  const ports = machinePorts();
  const sources: TimeSource[] = [
    new SystemClock(ports),
    ...options.ntp.map((host) => new NetworkTime({ ports, host })),
    ...(options.from.kind === "web" ? [new UpstreamTime(ports, options.from)] : []),
  ];
  const clock = new RelayClock({ ports, epoch: newId(), sources });
  const holder = new BoardHolder({ key: options.key, utcMs: () => clock.now() });
  const path: RelayPath = { before: [] };
  const looks = new Looks();
  const strain = new Strain();
  const behind = new RelayBook();
  const id = newId();
  let beat = 0;
  let slow = 1;
  const pacedMs = (): number =>
    boardGapMs({
      document: holder.current?.document ?? null,
      nowUtcMs: clock.now(),
      ...{ failures: 0, retryAfterMs: 0, chance: 0.5 },
    });
  let gapMs = pacedMs();
  const boards = (): number => looks.count() + behind.sum().boards;
  const word = (): RelayWord => ({
    id,
    beat: ++beat,
    boards: boards(),
    relays: 1 + behind.sum().relays,
    slow: Math.max(slow, behind.slow()),
  });
  const upstreamPorts: UpstreamPorts = { address: options.from, holder, word, id, path };
  const upstream = options.from.kind === "web" ? webUpstream(upstreamPorts) : brokerUpstream(upstreamPorts);
  const health = (): RelayHealth => ({
    status: "ok",
    role: "relay",
    trouble: upstream.trouble() ?? null,
    number: holder.current?.document.number ?? null,
    heardMsAgo: holder.heardAtMs === undefined ? null : Math.round(performance.now() - holder.heardAtMs),
    boards: boards(),
    slow,
    boundMs: clock.boundMs(),
  });
  const server = createRelayServer({
    holder,
    looks,
    gapMs: () => gapMs,
    pagesDir,
    stamp: () => clock.stamp(),
    heardRelay: (said) => behind.note(said, false),
    path: () => [...path.before, id],
    health,
  });
  const port = await listen(server, options.port, options.host);
  clock.start();
  upstream.start();
  const timer = setInterval(() => {
    slow = strain.look();
    gapMs = pacedMs();
  }, STRAIN_LOOK_MS);
  return {
    port,
    health,
    async close() {
      clearInterval(timer);
      upstream.stop();
      clock.stop();
      const closed = new Promise((resolve) => server.close(resolve));
      server.closeAllConnections();
      await closed;
    },
  };
}

function listen(server: Server, port: number, host: string): Promise<number> {
  return new Promise((resolve, reject) => {
    server.once("error", reject);
    server.listen({ port, host, backlog: 4096 }, () => {
      server.off("error", reject);
      resolve((server.address() as AddressInfo).port);
    });
  });
}
