/** What leads may say to alerts, and what stood when the hub was last heard. Pure; phones do not carry it. */
import { ownValue } from "../../fields/own-key.ts";
import type { KnownAlert, SiteState } from "../state.ts";
import type { RigAlert } from "./alert-entry.ts";
import type { Alert, AlertCause } from "./alerts.ts";
import { RIG_ALERTS } from "./rig-alerts.ts";

/** Danger, and what eyes hang on, is never put away for a time. */
export function neverShelved({ cause, priority }: Pick<KnownAlert, "cause" | "priority">): boolean {
  return priority === "danger" || ownValue<RigAlert>(RIG_ALERTS, cause)?.eyes === true;
}

/** Those that stood when they were last written down: a hub that starts anew raises none of them again. */
export function stoodBefore({ alerts }: SiteState): Alert[] {
  return Object.values(alerts)
    .filter(({ overUtcMs }) => overUtcMs === null)
    .map(({ id, cause, priority, rigId, sinceUtcMs }) => ({
      id,
      cause: cause as AlertCause,
      priority,
      rigId,
      sinceUtcMs,
    }));
}
