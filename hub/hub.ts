/**
 * The hub put together: log, clock, keeper, sockets and pages around one HTTP server. It knows
 * nothing of command lines and addresses (main.ts), so that tests start it in their own process.
 */
import type { Server as HttpServer, IncomingMessage, RequestListener } from "node:http";
import type { Express } from "express";
import { Server } from "socket.io";
import type { HubClock } from "./clock/hub-clock.ts";
import { ComputeQueue } from "./compute-queue.ts";
import { BoardFeed } from "./feeds/board-feed.ts";
import { BoardPublisher } from "./feeds/board-publisher.ts";
import { BoardSeal } from "./feeds/board-seal.ts";
import { boardSnapshot } from "./feeds/board-snapshot.ts";
import type { BrokerAddress } from "./feeds/broker-address.ts";
import { embedHosts } from "./feeds/embed-hosts.ts";
import { RelayBook } from "./feeds/relay-book.ts";
import { SkyBook } from "./feeds/sky-seen.ts";
import { createApp } from "./http/app.ts";
import type { HubParts } from "./http/hub-parts.ts";
import type { Route } from "./http/route.ts";
import type { EventLog } from "./log/event-log.ts";
import { HubHealth } from "./log/hub-health.ts";
import { answerOtherUpgrades } from "./network/plain-upgrade.ts";
import { newId } from "./new-id.ts";
import { PracticeDesk } from "./people/practice-desk.ts";
import { AlertDesk, clockHealthOf } from "./site/alert-desk.ts";
import { keepCableClocks } from "./site/cable-clocks.ts";
import { Keys } from "./site/keys.ts";
import { LatelyRaised } from "./site/lately-raised.ts";
import { MarshalDesk } from "./site/marshal-desk.ts";
import { PresenceBook } from "./site/presence.ts";
import { isRunOn } from "./site/run-on.ts";
import { SiteKeeper } from "./site/site-keeper.ts";
import { SiteSky } from "./site/site-sky.ts";
import { solveAnew } from "./site/solve-anew.ts";
import type { HubServer } from "./sockets/client.ts";
import { LinkLimits } from "./sockets/link-limits.ts";
import { SiteSockets } from "./sockets/site-sockets.ts";
import { Solver } from "./solver.ts";
import { zoneAt } from "./zones.ts";

export interface HubPorts {
  /** The servers to answer on: http, and https where there is a certificate. */
  servers: readonly HttpServer[];
  log: EventLog;
  clock: HubClock;
  pagesDir: string;
  version: string;
  isOurHost: (host: string | undefined) => boolean;
  isOurOrigin: (origin: string | undefined, host: string | undefined) => boolean;
  origins: () => string[];
  /** The same by https; the trust page tries them. */
  secureOrigins?: () => string[];
  /** Where the hub reaches itself, for simulated operators; its first address where nothing is said. */
  ownUrl?: () => string;
  /** The broker that what boards show is given to; undefined: none. */
  publish?: BrokerAddress | undefined;
  onError: (error: unknown) => void;
  /** Routes of other rooms, given the hub's parts. */
  more?: (parts: HubParts) => Route[];
}

export interface Hub {
  parts: HubParts;
  app: Express;
  io: HubServer;
  close(): Promise<void>;
}

/** The repeat that a practice's pause waits for; of this machine alone. */
const NEXT_REPEAT = "local:next-repeat";
/** The faults of the practice that is on; of this machine alone, too. */
const PRACTICE_FAULTS = "local:practice-faults";
/** A message larger than this ends its sender's connection. */
const MOST_MESSAGE_BYTES = 256 * 1024;

function isOurUpgrade({ url = "", headers }: IncomingMessage): boolean {
  return url.startsWith("/socket.io/") && headers.upgrade?.trim().toLowerCase() === "websocket";
}

export function createHub(ports: HubPorts): Hub {
  const { log, clock, onError } = ports;
  const solver = new Solver();
  const queue = new ComputeQueue();
  const sky = new SiteSky(solver, queue);
  let sockets: SiteSockets | undefined;
  const keys = new Keys(log, {
    now: () => clock.now(),
    spares: (hash) => sockets?.isAtWork(hash) === true || isRunOn(keeper.state, clock.now()),
  });
  const limits = new LinkLimits();
  const presence = new PresenceBook(() => limits.noisyRigs());
  const health = new HubHealth(log, onError);
  const keeper = new SiteKeeper({
    log,
    now: () => clock.now(),
    clockHealth: () => clockHealthOf(clock),
    newId,
    solve: (eclipse, site, limb) => sky.solve(eclipse, site, limb),
    prepareSky: (eclipse, site, limb) => sky.prepare(eclipse, site, limb),
    zoneAt,
    onBug: onError,
    onUnwritten: (error) => health.unwritten(error),
  });
  keepCableClocks(keeper, newId);
  const alerts = new AlertDesk(keeper, presence, clock, health, onError);
  const relays = new RelayBook();
  const seal = new BoardSeal(log, {
    now: () => clock.now(),
    course: () => clock.stamp().course,
    slow: () => relays.slow(),
    embed: () => embedHosts(log),
  });
  const skies = new SkyBook(log);
  const boards = new BoardFeed({
    compute: () => seal.seal(boardSnapshot(keeper.state, clock.now(), alerts.clockHealth(), skies)),
    onBug: onError,
  });
  const io: HubServer = new Server({
    serveClient: false,
    // A dead peer shows in 4 s instead of 45.
    pingInterval: 2000,
    pingTimeout: 2000,
    connectTimeout: 10_000,
    maxHttpBufferSize: MOST_MESSAGE_BYTES,
    perMessageDeflate: false,
    httpCompression: false,
    // Else whoever offers another protocol is cut off after a second (plain-upgrade.ts answers them).
    destroyUpgrade: false,
    allowRequest: (request, decide) => {
      const { host, origin } = request.headers;
      const ours = ports.isOurHost(host) && ports.isOurOrigin(origin, host);
      decide(ours ? null : "this origin is not the hub's", ours);
    },
  });
  let app: Express | undefined;
  // Before Socket.IO is attached: it answers its own path itself and passes the rest on.
  const listener: RequestListener = (request, response) => {
    if (app) app(request, response);
    else response.writeHead(503).end();
  };
  // io.engine is only the last of them.
  const engines: (typeof io.engine)[] = [];
  for (const server of ports.servers) {
    server.on("request", listener);
    io.attach(server);
    answerOtherUpgrades(server, isOurUpgrade);
    engines.push(io.engine);
  }
  const door = new SiteSockets({
    io,
    keeper,
    log,
    keys,
    clock,
    presence,
    limits,
    alerts,
    boards,
    version: ports.version,
    onBug: onError,
  });
  // After the sockets: the cover itself goes out before what is derived from it (S7).
  keeper.on("cover", () => boards.look());
  keeper.on("events", (events) => boards.note(events));
  sockets = door;
  const practice = new PracticeDesk({
    keeper,
    keys,
    clock,
    presence,
    ownUrl: ports.ownUrl ?? (() => ports.origins()[0] ?? ""),
    kept: {
      get: () => ports.log.getSetting(NEXT_REPEAT),
      set: (next) => ports.log.setSetting(NEXT_REPEAT, next ?? undefined),
    },
    keptFaults: {
      get: () => ports.log.getSetting(PRACTICE_FAULTS),
      set: (faults) => ports.log.setSetting(PRACTICE_FAULTS, faults ?? undefined),
    },
    inTurn: (key, steps) => queue.work("practice", key, steps, { keep: false }),
    holdBack: (rigIds) => door.holdBack(rigIds),
    onBug: onError,
  });
  const publisher =
    ports.publish &&
    new BoardPublisher({
      address: ports.publish,
      key: seal.key,
      boards,
      book: relays,
      now: () => clock.now(),
    });
  publisher?.start();
  const parts: HubParts = {
    clock,
    keeper,
    keys,
    log,
    presence,
    limits,
    alerts,
    lately: new LatelyRaised(log, keeper, () => clock.now()),
    boards,
    boardKey: seal.key,
    relays,
    publisher,
    marshals: new MarshalDesk(log, () => clock.now()),
    health,
    sockets: door,
    practice,
    solver,
    queue,
    version: ports.version,
    origins: ports.origins,
  };
  app = createApp(parts, {
    pagesDir: ports.pagesDir,
    isOurHost: ports.isOurHost,
    secureOrigins: ports.secureOrigins ?? (() => []),
    onError,
    more: ports.more?.(parts) ?? [],
  });
  void solveAnew(keeper, (eclipse, site, limb) => solver.forSite(eclipse, site, limb));
  alerts.check();
  return {
    parts,
    app,
    io,
    async close() {
      practice.close();
      door.close();
      publisher?.stop();
      boards.close();
      alerts.close();
      for (const server of ports.servers) server.removeAllListeners("request");
      io.disconnectSockets(true);
      for (const engine of engines) engine.close();
      health.close();
      keeper.snapshot();
      await log.close();
    },
  };
}
