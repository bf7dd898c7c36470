/**
 * The run as this console sees it, drawn anew twice a second and whenever something is heard: rigs, contacts, doubt and
 * alerts. Alerts are worked out here as well as at the hub, so that they stay true while the
 * console is alone; since when they stand comes from the hub where it has said so.
 */
import { useRef } from "react";
import { type Alert, alertsOf, trackAlerts, withHubTrouble } from "../../../shared/run/alerts/alerts.ts";
import { isExposed } from "../../../shared/run/alerts/exposure.ts";
import { isHubCause } from "../../../shared/run/alerts/hub-alerts.ts";
import type { PracticeStarted } from "../../../shared/run/events.ts";
import { practiceAt } from "../../../shared/run/run-time.ts";
import type { SiteState } from "../../../shared/run/state.ts";
import { type RunView, viewRun } from "../../../shared/run/views/run-view.ts";
import type { UtcMs } from "../../../shared/time/instants.ts";
import { useNow } from "../../link/use-session.ts";
import { useLead } from "./lead-context.ts";

export interface RunNow {
  state: SiteState;
  now: UtcMs;
  run: RunView;
  practice: PracticeStarted | null;
  alerts: readonly Alert[];
  /** S1: bare photosphere can reach a lens. */
  exposed: boolean;
  /** Whether it is known who is linked: not while this console is away from the hub. */
  presenceKnown: boolean;
}

/** Null until the hub, or what this device holds, has told anything. */
export function useRun(everyMs = 500): RunNow | null {
  const { session, view } = useLead();
  const now = useNow(session, everyMs);
  const known = useRef<readonly Alert[]>([]);
  const { state } = view;
  if (!state) return null;
  const run = viewRun(state, view.presence, view.clockHealth, now);
  // What only the hub knows stands as it said last.
  const ofHub = view.alerts.filter((alert) => isHubCause(alert.cause));
  const standing = withHubTrouble(alertsOf(state, run, view.clockHealth), ofHub);
  const alerts = trackAlerts([...view.alerts, ...known.current], standing, now).alerts;
  known.current = alerts;
  return {
    state,
    now,
    run,
    practice: practiceAt(state, now),
    alerts,
    exposed: isExposed(state, run.contacts, run.runNow),
    presenceKnown: view.linkState === "linked" || view.linkState === "catching up",
  };
}
