/** The figures in an alert's sentence that instruments give: since when, and when a card is full. Pure. */

import type { AlertCause } from "../../../../shared/run/alerts/alerts.ts";
import { cardFullMs, missedFrames } from "../../../../shared/run/facts/instrument-facts.ts";
import type { RigStatus } from "../../../../shared/run/views/rig-status.ts";
import type { RunView } from "../../../../shared/run/views/run-view.ts";
import { clockText } from "../../../parts/time-format.ts";

/** By the names that the sentences of console/words/…/alerts.json use; empty for other causes. */
export function alertFigures(
  cause: AlertCause,
  status: RigStatus | undefined,
  run: RunView,
): Record<string, string> {
  if (!status) return {};
  if (cause === "no-frames") {
    const missed = missedFrames(status, run);
    return missed ? { since: clockText(missed.lastRunMs ?? missed.cue.fromMs) } : {};
  }
  if (cause === "card-fills") {
    const full = cardFullMs(status, run);
    const { c3 } = run.contacts;
    if (full === null) return {};
    return { full: clockText(full).slice(0, 5), contact: c3 !== null && full < c3 ? "C3" : "C4" };
  }
  return {};
}
