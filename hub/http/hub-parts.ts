/** What the HTTP interface is given: the hub's parts, made in main.ts. */
import type { HubClock } from "../clock/hub-clock.ts";
import type { ComputeQueue } from "../compute-queue.ts";
import type { BoardFeed } from "../feeds/board-feed.ts";
import type { BoardPublisher } from "../feeds/board-publisher.ts";
import type { RelayBook } from "../feeds/relay-book.ts";
import type { EventLog } from "../log/event-log.ts";
import type { HubHealth } from "../log/hub-health.ts";
import type { PracticeDesk } from "../people/practice-desk.ts";
import type { AlertDesk } from "../site/alert-desk.ts";
import type { Keys } from "../site/keys.ts";
import type { LatelyRaised } from "../site/lately-raised.ts";
import type { MarshalDesk } from "../site/marshal-desk.ts";
import type { PresenceBook } from "../site/presence.ts";
import type { SiteKeeper } from "../site/site-keeper.ts";
import type { LinkLimits } from "../sockets/link-limits.ts";
import type { SiteSockets } from "../sockets/site-sockets.ts";
import type { Solver } from "../solver.ts";

export interface HubParts {
  clock: HubClock;
  keeper: SiteKeeper;
  keys: Keys;
  log: EventLog;
  presence: PresenceBook;
  limits: LinkLimits;
  alerts: AlertDesk;
  lately: LatelyRaised;
  boards: BoardFeed;
  /** The public key of what boards are told, as it stands in their addresses. */
  boardKey: string;
  marshals: MarshalDesk;
  /** Which relays have been heard. */
  relays: RelayBook;
  /** Gives what boards show to a broker; undefined where none was named. */
  publisher: BoardPublisher | undefined;
  health: HubHealth;
  sockets: SiteSockets;
  practice: PracticeDesk;
  solver: Solver;
  /** For what takes the solver long and anybody may ask. */
  queue: ComputeQueue;
  version: string;
  /** Where phones reach the hub, best first, e.g. "http://192.168.1.4:8080". */
  origins: () => string[];
}
