/** The session in components. Big running clocks are drawn by parts/clock-face.tsx instead. */
import { type RefObject, useEffect, useState, useSyncExternalStore } from "react";
import type { UtcMs } from "../../shared/time/instants.ts";

interface Viewed<View> {
  subscribe(listener: () => void): () => void;
  view(): View;
}

/** What is known; draws again when it changes. */
export function useSessionView<View>(session: Viewed<View>): View {
  return useSyncExternalStore(session.subscribe, session.view, session.view);
}

/** The eclipse clock, at every whole multiple of `everyMs`, and at the instant that `also` names meanwhile. */
export function useNow(session: { now(): UtcMs }, everyMs = 250, also?: RefObject<UtcMs | null>): UtcMs {
  const [now, setNow] = useState(() => session.now());
  useEffect(() => {
    let timer = 0;
    const step = (): void => {
      const at = session.now();
      setNow(at);
      const alsoMs = (also?.current ?? Number.NEGATIVE_INFINITY) - at;
      const restMs = everyMs - (at % everyMs);
      timer = window.setTimeout(step, alsoMs > 0 ? Math.min(restMs, alsoMs) : restMs);
    };
    step();
    return () => window.clearTimeout(timer);
  }, [session, everyMs, also]);
  return now;
}
