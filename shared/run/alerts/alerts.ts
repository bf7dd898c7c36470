/**
 * Alerts: only where somebody must act now (SPEC R10). Pure: what stands at an instant by the
 * catalogue; the hub remembers since when (trackAlerts) and logs every change.
 */
import { sunAt } from "../../eclipse/sun.ts";
import { ownValue } from "../../fields/own-key.ts";
import { type UtcMs, utcMs } from "../../time/instants.ts";
import { type ClockHealth, practisedStep } from "../doubt.ts";
import type { SiteState } from "../state.ts";
import type { Presence } from "../views/presence.ts";
import type { RigStatus } from "../views/rig-status.ts";
import { type RunView, viewRun } from "../views/run-view.ts";
import { NEAR_MS, type RigAlert, type SiteAlert, type SiteFacts } from "./alert-entry.ts";
import { inTotality } from "./exposure.ts";
import type { HubCause } from "./hub-alerts.ts";
import { hasJustBegun } from "./just-begun.ts";
import { type AlertPriority, worstFirst } from "./priority.ts";
import { RIG_ALERTS } from "./rig-alerts.ts";
import { SITE_ALERTS } from "./site-alerts.ts";

export type RigCause = keyof typeof RIG_ALERTS;
type SiteCause = keyof typeof SITE_ALERTS;
export type AlertCause = RigCause | SiteCause | HubCause;

export interface StandingAlert {
  id: string;
  priority: AlertPriority;
  cause: AlertCause;
  rigId: string | null;
  /** Since when, where the state itself knows it; else it stands since it was first seen. */
  fromUtcMs?: UtcMs;
}

export interface Alert extends Omit<StandingAlert, "fromUtcMs"> {
  sinceUtcMs: UtcMs;
}

/** From so many phones on it is not one phone, if it is most of them. Common practice, no source. */
const LINKS_GONE = 3;

const OF_RIGS = Object.entries(RIG_ALERTS) as [RigCause, RigAlert][];
const OF_SITE = Object.entries(SITE_ALERTS) as [SiteCause, SiteAlert][];

/** All alerts that stand at an instant, worst first. */
export function alertsAt(
  state: SiteState,
  presence: Presence,
  clock: ClockHealth,
  now: UtcMs,
): StandingAlert[] {
  return alertsOf(state, viewRun(state, presence, clock, now), clock);
}

export function alertsOf(state: SiteState, view: RunView, clock: ClockHealth): StandingAlert[] {
  const site = siteFacts(state, view, clock);
  const alerts: StandingAlert[] = [];
  for (const status of view.rigs) {
    const rigId = status.rig.id;
    for (const [cause, entry] of OF_RIGS) {
      const priority = entry.stands(status, site);
      if (priority)
        alerts.push({ id: `${cause}:${rigId}`, priority, cause, rigId, ...from(entry.sinceUtcMs?.(status)) });
    }
  }
  for (const [cause, entry] of OF_SITE) {
    const priority = entry.stands(site);
    if (priority) alerts.push({ id: cause, priority, cause, rigId: null, ...from(entry.sinceUtcMs?.(site)) });
  }
  return alerts.sort(worstFirst);
}

function from(fromUtcMs: UtcMs | undefined): { fromUtcMs?: UtcMs } {
  return fromUtcMs === undefined ? {} : { fromUtcMs };
}

function siteFacts(state: SiteState, view: RunView, clock: ClockHealth): SiteFacts {
  const { run, contacts, runNow } = view;
  const step = practisedStep(run, view.now);
  const { c1, c2, c4 } = contacts;
  const sunUp = state.plan.site !== null && sunAt(utcMs(runNow), state.plan.site).up;
  const beforeC2 = c2 !== null && runNow < c2;
  const joined = phonesByRig(state);
  const ofJoined = view.rigs.filter(({ rig }) => joined.has(rig.id));
  const phonesOf = (rigs: readonly RigStatus[]) => new Set(rigs.map(({ rig }) => joined.get(rig.id))).size;
  const lost = phonesOf(ofJoined.filter(({ linked }) => linked.length === 0));
  return {
    state,
    view,
    clock,
    practised: step ? (step.rigIds === null ? "hub" : "phone") : null,
    exposed: sunUp && !inTotality(state, contacts, runNow),
    sunUp,
    beforeC2,
    running: c1 !== null && c4 !== null && runNow > c1 - NEAR_MS && runNow < c4,
    grave: run.kind === "real" && beforeC2 && c2 - runNow < NEAR_MS,
    justBegun: hasJustBegun(view.practice, view.now),
    joined,
    linksGone: lost >= LINKS_GONE && lost * 2 > phonesOf(ofJoined),
  };
}

/** The phone that joined each rig last: one person's phone may hold several, and its loss is one cause. */
function phonesByRig({ devices }: SiteState): ReadonlyMap<string, string> {
  const last = new Map<string, SiteState["devices"][string]>();
  for (const device of Object.values(devices))
    for (const rigId of device.agent ? [] : device.rigIds)
      if (device.joinedUtcMs >= (last.get(rigId)?.joinedUtcMs ?? 0)) last.set(rigId, device);
  return new Map([...last].map(([rigId, { deviceId }]) => [rigId, deviceId]));
}

/** What the state tells and what the hub knows of itself in one list, worst first. */
export function withHubTrouble(
  standing: readonly StandingAlert[],
  ofHub: readonly StandingAlert[],
): StandingAlert[] {
  return [...ofHub, ...standing].sort(worstFirst);
}

/**
 * Without what has not stood long enough yet to need anybody (SiteAlert.lastsMs). What stood before, of
 * whatever priority, goes on. `seen`: since when each has been seen that was held back at the last look.
 */
export function lasting(
  standing: readonly StandingAlert[],
  before: readonly Alert[],
  seen: ReadonlyMap<string, UtcMs>,
  now: UtcMs,
): { told: StandingAlert[]; seen: Map<string, UtcMs> } {
  const stood = new Set(before.map(({ id }) => id));
  const held = new Map<string, UtcMs>();
  const told = standing.flatMap((alert): StandingAlert[] => {
    const lastsMs = ownValue<SiteAlert>(SITE_ALERTS, alert.cause)?.lastsMs ?? 0;
    const fromUtcMs = seen.get(alert.id) ?? now;
    if (lastsMs === 0 || stood.has(alert.id)) return [alert];
    if (now - fromUtcMs >= lastsMs) return [{ ...alert, fromUtcMs }];
    held.set(alert.id, fromUtcMs);
    return [];
  });
  return { told, seen: held };
}

/** Carries over since when each standing alert stands: while its priority stays. Of several the first counts. */
export function trackAlerts(
  before: readonly Alert[],
  standing: readonly StandingAlert[],
  now: UtcMs,
): { alerts: Alert[]; raised: Alert[]; cleared: Alert[] } {
  const known = new Map<string, Alert>();
  for (const old of before) if (!known.has(nameOf(old))) known.set(nameOf(old), old);
  const alerts = standing.map(({ fromUtcMs, ...alert }) => {
    const sinceUtcMs = known.get(nameOf(alert))?.sinceUtcMs ?? fromUtcMs ?? now;
    return { ...alert, sinceUtcMs };
  });
  const stand = new Set(alerts.map(nameOf));
  return {
    alerts,
    raised: alerts.filter((alert) => !known.has(nameOf(alert))),
    cleared: before.filter((old) => !stand.has(nameOf(old))),
  };
}

function nameOf({ id, priority }: Pick<Alert, "id" | "priority">): string {
  return `${priority} ${id}`;
}
