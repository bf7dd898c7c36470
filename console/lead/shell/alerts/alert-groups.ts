/**
 * The alerts as they are listed: what asks for one rig stands alone where somebody must go to that
 * rig (help, a filter open in sunlight); the rest is said once for all rigs that have it, so that
 * a site whose phones have just joined is not a page of the same sentence. Worst first; pure.
 */

import { ownValue } from "../../../../shared/fields/own-key.ts";
import type { RigAlert } from "../../../../shared/run/alerts/alert-entry.ts";
import type { Alert, AlertCause } from "../../../../shared/run/alerts/alerts.ts";
import { type AlertPriority, rankOf, worstFirst } from "../../../../shared/run/alerts/priority.ts";
import { RIG_ALERTS } from "../../../../shared/run/alerts/rig-alerts.ts";
import type { RunNow } from "../use-run.ts";

export interface AlertGroup {
  id: string;
  cause: AlertCause;
  priority: AlertPriority;
  /** Rigs that have it, the longest first; empty for what concerns the whole site. */
  rigIds: string[];
  /** Each of them by its id, for answers. */
  alertIds: string[];
  /** Since when the first of them has it. */
  sinceUtcMs: number;
}

/** What the catalogue says of a cause; undefined for what concerns the whole site. */
function ofRig(cause: AlertCause): RigAlert | undefined {
  return ownValue<RigAlert>(RIG_ALERTS, cause);
}

/**
 * Where no phone has joined a rig, nobody can be asked for its filter: the one sentence says both.
 * It takes the other's place only when it is as grave, and not once it is put away: what eyes hang on
 * would be put away with it (S9, S10).
 */
export function saidOnce(alerts: readonly Alert[], isShelved: IsShelved = () => false): Alert[] {
  const said = new Map<string, number>();
  for (const { id, cause, rigId, priority } of alerts)
    for (const other of (!isShelved(id) && ofRig(cause)?.says) || [])
      said.set(`${other}:${rigId}`, rankOf(priority));
  return alerts.filter(({ id, priority }) => (said.get(id) ?? Number.POSITIVE_INFINITY) > rankOf(priority));
}

type IsShelved = (alertId: string) => boolean;

/**
 * `operatorOf`: who stands at a rig. One person who calls for help calls from all rigs of that phone,
 * and it is one call. `isShelved`: a lead has put that alert away.
 */
export function alertGroups(
  alerts: readonly Alert[],
  operatorOf: (rigId: string) => string = () => "",
  isShelved: IsShelved = () => false,
): AlertGroup[] {
  const groups = new Map<string, AlertGroup>();
  for (const alert of saidOnce(alerts, isShelved).sort((a, b) => a.sinceUtcMs - b.sinceUtcMs)) {
    const { cause, priority, rigId, sinceUtcMs } = alert;
    const person = cause === "help" && rigId ? operatorOf(rigId) : "";
    const id = person ? `${cause} of ${person}` : ofRig(cause)?.alone ? alert.id : `${cause} ${priority}`;
    const known = groups.get(id);
    if (known) {
      known.rigIds.push(...(rigId ? [rigId] : []));
      known.alertIds.push(alert.id);
    } else {
      const rigIds = rigId ? [rigId] : [];
      groups.set(id, { id, cause, priority, rigIds, alertIds: [alert.id], sinceUtcMs });
    }
  }
  return [...groups.values()].sort((a, b) => worstFirst(a, b) || a.sinceUtcMs - b.sinceUtcMs);
}

/** Who stands at which rig, by the plan. */
export function operatorsOf({ state }: Pick<RunNow, "state">): (rigId: string) => string {
  return (rigId) => state.plan.rigs.find(({ id }) => id === rigId)?.operator ?? "";
}

/** Those that are shown while the list is closed: all danger, and the next up to `most` in all. */
export function shownFirst(groups: readonly AlertGroup[], most: number): AlertGroup[] {
  const dangers = groups.filter((group) => group.priority === "danger").length;
  return groups.slice(0, Math.max(most, dangers));
}
