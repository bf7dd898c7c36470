/**
 * Works the run out for every screen, anew twice a second and whenever something is heard: rigs,
 * contacts, doubt and alerts. Alerts are worked out here as well as at the hub, so that they stay true
 * while the console is alone; since when they stand comes from the hub where it has said so.
 */
import { type ReactNode, type RefObject, useRef } from "react";
import type { SessionView } from "../../../shared/link/session-types.ts";
import { type Alert, alertsOf, trackAlerts, withHubTrouble } from "../../../shared/run/alerts/alerts.ts";
import { isExposed } from "../../../shared/run/alerts/exposure.ts";
import { isHubCause } from "../../../shared/run/alerts/hub-alerts.ts";
import { practiceAt } from "../../../shared/run/run-time.ts";
import type { SiteState } from "../../../shared/run/state.ts";
import { type RunView, viewRun, viewRunAgain } from "../../../shared/run/views/run-view.ts";
import type { UtcMs } from "../../../shared/time/instants.ts";
import { useNow } from "../../link/use-session.ts";
import { useLead } from "./lead-context.ts";
import { reportedSince } from "./reported-since.ts";
import { RunContext, type RunNow } from "./use-run.ts";

const EVERY_MS = 500;

/** Screens that do not ask for the run are not drawn anew with it. */
export function RunProvider({ children }: { children: ReactNode }) {
  return <RunContext value={useRunNow()}>{children}</RunContext>;
}

function useRunNow(): RunNow | null {
  const { session, view } = useLead();
  const now = useNow(session, EVERY_MS);
  const known = useRef<readonly Alert[]>([]);
  const last = useRef<Look | null>(null);
  const { state } = view;
  if (!state) return null;
  const run = looked(last, view, state, now);
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

/** The last look at all rigs, and what it was of. */
interface Look {
  view: SessionView;
  state: SiteState;
  at: UtcMs;
  run: RunView;
}

/** A look at everything with every tick of the clock; between two of them at rigs that have reported since. */
function looked(last: RefObject<Look | null>, view: SessionView, state: SiteState, at: UtcMs): RunView {
  const before = last.current;
  const again = isSameTick(before, view, at) ? reportedSince(before.state, state) : null;
  const run =
    before && again
      ? viewRunAgain(
          { plan: state.plan, view: before.run },
          again,
          state,
          view.presence,
          view.clockHealth,
          at,
        )
      : viewRun(state, view.presence, view.clockHealth, at);
  last.current = { view, state, at, run };
  return run;
}

function isSameTick(before: Look | null, { presence, clockHealth }: SessionView, at: UtcMs): before is Look {
  return before?.at === at && before.view.presence === presence && before.view.clockHealth === clockHealth;
}
