/**
 * The session of a console, drawn anew ten times a second at most: sixty rigs report sixty times a second
 * together, and each drawing shows all of them. What a lead must see at once is not waited with: a cover, a
 * call, a shift, a practice, another sky, the link itself, and whatever comes after a rest.
 */
import { useCallback, useSyncExternalStore } from "react";
import type { SessionView } from "../../../shared/link/session-types.ts";
import type { LeadSession } from "../../link/open-session.ts";

const MOST_OFTEN_MS = 100;

export function useCalmView(session: Pick<LeadSession, "subscribe" | "view">): SessionView {
  const subscribe = useCallback((draw: () => void) => calmly(session, draw), [session]);
  const view = useCallback(() => session.view(), [session]);
  return useSyncExternalStore(subscribe, view, view);
}

/** Tells `draw` of changes; what it gives ends that. */
export function calmly(
  session: Pick<LeadSession, "subscribe" | "view">,
  draw: () => void,
  nowMs: () => number = () => performance.now(),
): () => void {
  let drawnMs = Number.NEGATIVE_INFINITY;
  let drawn = session.view();
  let timer: ReturnType<typeof setTimeout> | undefined;
  const now = (): void => {
    clearTimeout(timer);
    timer = undefined;
    drawnMs = nowMs();
    drawn = session.view();
    draw();
  };
  const end = session.subscribe(() => {
    if (isUrgent(drawn, session.view())) return now();
    const waitMs = drawnMs + MOST_OFTEN_MS - nowMs();
    if (waitMs <= 0) now();
    else timer ??= setTimeout(now, waitMs);
  });
  return () => {
    clearTimeout(timer);
    end();
  };
}

/** Whether more has changed than what rigs have reported. */
function isUrgent(before: SessionView, after: SessionView): boolean {
  if (!before.state || !after.state || before.cover !== after.cover || before.linkState !== after.linkState)
    return true;
  const [old, { practice, cover, plan, realRunId, runs }] = [before.state, after.state];
  if (old.practice !== practice || old.cover !== cover || old.plan !== plan || old.realRunId !== realRunId)
    return true;
  return Object.values(runs).some((run) => {
    const known = old.runs[run.runId];
    return known?.calls !== run.calls || known.shifts !== run.shifts || known.variant !== run.variant;
  });
}
