/** The session in components. Big running clocks are drawn by parts/clock-face.tsx instead. */
import { useEffect, useState, useSyncExternalStore } from "react";
import type { UtcMs } from "../../shared/time/instants.ts";

interface Viewed<View> {
  subscribe(listener: () => void): () => void;
  view(): View;
}

/** What is known; draws again when it changes. */
export function useSessionView<View>(session: Viewed<View>): View {
  return useSyncExternalStore(session.subscribe, session.view, session.view);
}

/** The eclipse clock, at every whole multiple of `everyMs`. */
export function useNow(session: { now(): UtcMs }, everyMs = 250): UtcMs {
  const [now, setNow] = useState(() => session.now());
  useEffect(() => {
    let timer = 0;
    const step = (): void => {
      const at = session.now();
      setNow(at);
      timer = window.setTimeout(step, everyMs - (at % everyMs));
    };
    step();
    return () => window.clearTimeout(timer);
  }, [session, everyMs]);
  return now;
}
