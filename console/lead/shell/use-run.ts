/** The run as this console sees it (run-provider.tsx works it out, once for every screen). */
import { createContext, useContext } from "react";
import type { Alert } from "../../../shared/run/alerts/alerts.ts";
import type { PracticeStarted } from "../../../shared/run/events.ts";
import type { SiteState } from "../../../shared/run/state.ts";
import type { RunView } from "../../../shared/run/views/run-view.ts";
import type { UtcMs } from "../../../shared/time/instants.ts";

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

export const RunContext = createContext<RunNow | null>(null);

/** Null until the hub, or what this device holds, has told anything. */
export function useRun(): RunNow | null {
  return useContext(RunContext);
}
