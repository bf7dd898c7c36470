/**
 * The one length that belongs to an alert, the same wherever it is read: an open filter is counted from C3
 * once the Sun is back, a cue that waits from when it was due, a call for help from when it was asked, a
 * filter that silence has made unknown from when the link was lost, all else since the alert stands. Pure.
 */
import type { Alert } from "../../../../shared/run/alerts/alerts.ts";
import { lateCue } from "../../../../shared/run/alerts/rig-alerts.ts";
import type { RigStatus } from "../../../../shared/run/views/rig-status.ts";
import type { RunView } from "../../../../shared/run/views/run-view.ts";

export interface AlertLength {
  from: "C3" | "due" | "asked" | "standing";
  /** Of run time from C3 and from due, of real time else. */
  ms: number;
}

/** `alerts`: all that stand. `status`: of the rig that has it; undefined for the site's, and where several rigs share a line. */
export function alertLength(
  { cause, sinceUtcMs }: { cause: Alert["cause"]; sinceUtcMs: number },
  status: Pick<RigStatus, "rig" | "cues" | "help"> | undefined,
  { contacts: { c3 }, runNow, now }: Pick<RunView, "contacts" | "runNow" | "now">,
  alerts: readonly Alert[],
): AlertLength {
  if (cause === "exposed" && c3 !== null && runNow >= c3) return { from: "C3", ms: runNow - c3 };
  if (status && (cause === "filter-late" || cause === "still-filtered" || cause === "not-capped")) {
    const late = lateCue(status, cause);
    if (late) return { from: "due", ms: late.lateS * 1000 };
  }
  if (cause === "help" && status?.help) return { from: "asked", ms: now - status.help.observedUtcMs };
  const lost = status && alerts.find((one) => one.cause === "link-lost" && one.rigId === status.rig.id);
  if (cause === "filter-unknown" && lost)
    return { from: "standing", ms: Math.max(0, now - Math.min(lost.sinceUtcMs, sinceUtcMs)) };
  return { from: "standing", ms: Math.max(0, now - sinceUtcMs) };
}
