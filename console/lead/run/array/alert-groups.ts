/**
 * The alerts as they are listed: what asks for one rig stands alone where somebody must go to that
 * rig (help, a filter open in sunlight); the rest is said once for all rigs that have it, so that
 * a site whose phones have just joined is not a page of the same sentence. Worst first; pure.
 */
import {
  type Alert,
  type AlertCause,
  type AlertPriority,
  PRIORITY_RANK,
} from "../../../../shared/run/alerts/alerts.ts";

export interface AlertGroup {
  id: string;
  cause: AlertCause;
  priority: AlertPriority;
  /** Rigs that have it, the longest first; empty for what concerns the whole site. */
  rigIds: string[];
  /** Since when the first of them has it. */
  sinceUtcMs: number;
}

const ALONE: ReadonlySet<AlertCause> = new Set<AlertCause>(["exposed", "help", "practice-off-real-sun"]);

/**
 * Where no phone has joined a rig, nobody can be asked for its filter: the one sentence says both.
 * It takes the other's place only when it is as grave.
 */
export function saidOnce(alerts: readonly Alert[]): Alert[] {
  const without = new Set(
    alerts.filter((one) => one.cause === "not-joined" && one.priority !== "advice").map((one) => one.rigId),
  );
  return alerts.filter((one) => one.cause !== "filter-unknown" || !without.has(one.rigId));
}

export function alertGroups(alerts: readonly Alert[]): AlertGroup[] {
  const groups = new Map<string, AlertGroup>();
  for (const alert of saidOnce(alerts).sort((a, b) => a.sinceUtcMs - b.sinceUtcMs)) {
    const { cause, priority, rigId, sinceUtcMs } = alert;
    const id = ALONE.has(cause) ? alert.id : `${cause} ${priority}`;
    const known = groups.get(id);
    if (known) known.rigIds.push(...(rigId ? [rigId] : []));
    else groups.set(id, { id, cause, priority, rigIds: rigId ? [rigId] : [], sinceUtcMs });
  }
  return [...groups.values()].sort(
    (a, b) => PRIORITY_RANK[a.priority] - PRIORITY_RANK[b.priority] || a.sinceUtcMs - b.sinceUtcMs,
  );
}

/** Those that are shown while the list is closed: all danger, and the next up to `most` in all. */
export function shownFirst(groups: readonly AlertGroup[], most: number): AlertGroup[] {
  const dangers = groups.filter((group) => group.priority === "danger").length;
  return groups.slice(0, Math.max(most, dangers));
}
