/** What leads may say to alerts, and what stood when the hub was last heard. Pure; phones do not carry it. */
import { ownValue } from "../../fields/own-key.ts";
import type { KnownAlert, SiteState } from "../state.ts";
import type { RigAlert } from "./alert-entry.ts";
import type { Alert, AlertCause } from "./alerts.ts";
import { RIG_ALERTS } from "./rig-alerts.ts";

/**
 * Danger, and what eyes hang on, is never put away for a time; nor is a caution that is listed in place
 * of one on which they hang: with it that would be put away, too.
 */
export function neverShelved({ cause, priority }: Pick<KnownAlert, "cause" | "priority">): boolean {
  if (priority === "danger" || hasEyes(cause)) return true;
  return priority === "caution" && (ofRig(cause)?.says ?? []).some(hasEyes);
}

function hasEyes(cause: string): boolean {
  return ofRig(cause)?.eyes === true;
}

function ofRig(cause: string): RigAlert | undefined {
  return ownValue<RigAlert>(RIG_ALERTS, cause);
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
