/**
 * The acts of the run screen: sends reports, remembers for some seconds how to take the last one
 * back, and guards the confirm against double fire. Everything goes into the phone's outbox
 * first; the hub hears of it when it can. What was reported is said only when it is safe there:
 * from then on not even the page's sudden end loses it.
 */
import { useCallback, useEffect, useRef, useState } from "react";
import type { Report } from "../../../shared/run/facts/report-schema.ts";
import type { PageSession } from "../../link/open-session.ts";
import type { OwnLog } from "../report/own-log.ts";
import { ConfirmGuard } from "./confirm-guard.ts";
import type { Tap } from "./rig-reports.ts";

interface Undo {
  taps: readonly Tap[];
  /** What was reported, in words. */
  words: string;
}

export interface RigActs {
  guard: ConfirmGuard;
  undo: Undo | null;
  /** Storage failed: the last report is not safe. Never silent. */
  unsafe: boolean;
  send: (rigId: string, report: Report) => void;
  act: (taps: Tap | readonly Tap[], words: string) => void;
  takeBack: () => void;
}

/** How long the last tap can be taken back, ms. Common practice, no source. */
const UNDO_MS = 8000;

export function useRigActs(session: PageSession, log: OwnLog): RigActs {
  const guard = useRef(new ConfirmGuard());
  const [undo, setUndo] = useState<Undo | null>(null);
  const [unsafe, setUnsafe] = useState(false);
  /** Settles when the report is safe on this phone, or could not be made so. */
  const send = useCallback(
    (rigId: string, report: Report): Promise<void> => {
      const atUtcMs = session.now();
      return session.report(rigId, report).then(
        () => {
          setUnsafe(false);
          log.add({ atUtcMs, rigId, report });
        },
        () => setUnsafe(true),
      );
    },
    [session, log],
  );
  const act = useCallback(
    (given: Tap | readonly Tap[], words: string): void => {
      const taps = "rigId" in given ? [given] : given;
      const kept = taps.map((tap) => send(tap.rigId, tap.report));
      // The one before can be taken back no more, however long storing takes.
      setUndo(null);
      void Promise.all(kept).then(() => setUndo(taps.some((tap) => tap.undo) ? { taps, words } : null));
    },
    [send],
  );
  const takeBack = useCallback((): void => {
    for (const tap of undo?.taps ?? []) if (tap.undo) void send(tap.rigId, tap.undo);
    setUndo(null);
  }, [send, undo]);
  useEffect(() => {
    if (!undo) return;
    const timer = setTimeout(() => setUndo(null), UNDO_MS);
    return () => clearTimeout(timer);
  }, [undo]);
  return { guard: guard.current, undo, unsafe, send, act, takeBack };
}
