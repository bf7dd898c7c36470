/**
 * What only the hub knows of itself: its disk, its file, its backups. It stands beside the alerts
 * that every console works out from the state (alerts.ts).
 */
import { PRIORITY_RANK, type StandingAlert } from "./alerts.ts";

export const HUB_CAUSES = [
  /** The disk is full: nothing more is logged, reports wait on the phones. */
  "disk-full",
  "disk-low",
  /** The file cannot be written for another reason. */
  "log-failing",
  /** The file was deleted or replaced under the running hub; it has written another. */
  "file-gone",
  /** The file was read through and is not whole. */
  "file-damaged",
  /** The place chosen for backups cannot be written. */
  "backup-missing",
] as const;
export type HubCause = (typeof HUB_CAUSES)[number];

export function isHubCause(cause: string): cause is HubCause {
  return (HUB_CAUSES as readonly string[]).includes(cause);
}

/** Both kinds of alert in one list, worst first. */
export function withHubTrouble(
  standing: readonly StandingAlert[],
  ofHub: readonly StandingAlert[],
): StandingAlert[] {
  return [...ofHub, ...standing].sort((a, b) => PRIORITY_RANK[a.priority] - PRIORITY_RANK[b.priority]);
}
