/**
 * Reads events of older versions as today's. There is one version of each so far; when a payload
 * changes, raise its number in EVENT_VERSIONS and add the step here, never edit a logged event.
 */
import { ownValue } from "../fields/own-key.ts";
import { EVENT_VERSIONS, type EventType, type SiteEvent } from "./events.ts";
import type { LoggedEvent } from "./logged-event.ts";

type Step = (payload: unknown) => unknown;
/** UPCASTS[type][n] turns version n into n + 1. */
const UPCASTS: Partial<Record<EventType, Record<number, Step>>> = {};

export class UnknownEventError extends Error {
  override name = "UnknownEventError";
}

/** Today's form of a logged event. Throws UnknownEventError for one from a newer program. */
export function upcast(event: LoggedEvent): SiteEvent {
  const type = event.type as EventType;
  const target = ownValue(EVENT_VERSIONS, type);
  if (target === undefined || event.v > target) {
    throw new UnknownEventError(
      `event ${event.seq} is a ${event.type} of version ${event.v}, made by a newer program`,
    );
  }
  if (event.v === target) return event as SiteEvent;
  let payload = event.payload;
  for (let version = event.v; version < target; version++) {
    const step = UPCASTS[type]?.[version];
    if (!step) throw new UnknownEventError(`no way from version ${version} of ${event.type}`);
    payload = step(payload);
  }
  return { ...event, v: target, payload } as SiteEvent;
}
