/**
 * Events as they go over sockets: what no state is made of stays behind where it is large. Thousands of
 * frames of an evening are for after-work, which asks for them (GET /api/images), and not for sixty phones.
 */
import type { SiteEvent } from "../../shared/run/events.ts";

export function lightened(event: SiteEvent): SiteEvent {
  if (event.type !== "imagesNoted") return event;
  return { ...event, payload: { ...event.payload, frames: [] } };
}
