/**
 * Pages that are open on the hub's own machine have its clock and not one of their own: they know
 * nothing of UTC that the hub does not.
 */
import { DISAGREES_ABOVE_MS } from "../../shared/sync/witnesses.ts";
import { isOwnMachine } from "../network/own-machine.ts";
import type { HubSocket } from "./client.ts";

/** A page reads the machine's clock cut off to whole ms, some ms before or after the hub does. */
const SAME_CLOCK_MS = 100;

/** Whether a socket comes from the hub's own machine. */
export function isOnHubsMachine(socket: HubSocket): boolean {
  return isOwnMachine(socket.request.socket);
}

/**
 * Whether a page there merely repeats the machine's own clock (`ownMs` against the eclipse clock)
 * and must not be heard as a witness: a lead's console never, which is usually open there; a rig's
 * page not where the eclipse clock was set otherwise, by hand or by refusing a step.
 */
export function repeatsOwnClock(
  role: "lead" | "rig",
  offsetMs: number,
  boundMs: number,
  ownMs: number,
): boolean {
  if (Math.abs(offsetMs - ownMs) > Math.max(0, boundMs) + SAME_CLOCK_MS) return false;
  return role === "lead" || Math.abs(ownMs) > DISAGREES_ABOVE_MS;
}
