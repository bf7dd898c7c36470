/** What the HTTP interface is given: the hub's parts, made in main.ts. */
import type { HubClock } from "../clock/hub-clock.ts";
import type { EventLog } from "../log/event-log.ts";
import type { Patience } from "../patience.ts";
import type { AlertDesk } from "../room/alert-desk.ts";
import type { HubHealth } from "../room/hub-health.ts";
import type { Keys } from "../room/keys.ts";
import type { LinkLimits } from "../room/link-limits.ts";
import type { PresenceBook } from "../room/presence.ts";
import type { Room } from "../room/room.ts";
import type { SiteKeeper } from "../room/site-keeper.ts";
import type { Solver } from "../solver.ts";

export interface HubParts {
  clock: HubClock;
  keeper: SiteKeeper;
  keys: Keys;
  log: EventLog;
  presence: PresenceBook;
  limits: LinkLimits;
  alerts: AlertDesk;
  health: HubHealth;
  room: Room;
  solver: Solver;
  /** For what takes the solver long and anybody may ask. */
  patience: Patience;
  version: string;
  /** Where phones reach the hub, best first, e.g. "http://192.168.1.4:8080". */
  origins: () => string[];
}
