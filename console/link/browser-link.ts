/** What a page has that a link to the hub stands on. */
import type { LinkPorts } from "../../shared/link/session-types.ts";
import { systemClock } from "../../shared/time/clock.ts";
import { browserSocket } from "./browser-socket.ts";
import { pageTimers } from "./browser-timers.ts";

export function browserLink(): LinkPorts {
  return { clock: systemClock, timers: pageTimers, socket: browserSocket() };
}
