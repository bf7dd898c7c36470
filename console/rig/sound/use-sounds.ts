/** Sounds of the page: fetches the engine, keeps it told what is on the screen, and tells the lead. */

import { useEffect, useRef, useSyncExternalStore } from "react";
import type { UtcMs } from "../../../shared/time/instants.ts";
import type { PageSession } from "../../link/open-session.ts";
import { type ArmingView, armedReport, NOT_ARMED } from "../device/armed-view.ts";
import { useMadeLater } from "../device/made-later.ts";
import { usePrefs } from "../device/prefs.ts";
import type { RigScene } from "../run/rig-scene.ts";

export interface Sounds {
  armed: ArmingView;
  /** Null until the engine has come. */
  arm: (() => void) | null;
}

const nobody = (): (() => void) => () => undefined;

/** `rings`: an urgent message that is not shown now. `askPosition`: what the arming tap asks for beside sound and screen, when this is a moment for it. */
export function useSounds(
  session: PageSession,
  scene: RigScene | null,
  cover: boolean,
  rings: { messageId: string } | undefined,
  askPosition: (() => void) | undefined,
): Sounds {
  const engine = useMadeLater(
    () => import("./engine.ts"),
    ({ SoundEngine }) => new SoundEngine(session),
    session,
  );
  const armed = useSyncExternalStore(
    engine?.arming.subscribe ?? nobody,
    engine?.arming.view ?? (() => NOT_ARMED),
  );
  const coverUtcMs = useRef<UtcMs | null>(null);
  if (!cover) coverUtcMs.current = null;
  else coverUtcMs.current ??= session.now();
  useEffect(() => {
    if (armed.asked) engine?.update(scene, coverUtcMs.current, rings?.messageId);
  });
  return { armed, arm: engine ? () => void engine.arming.arm(askPosition) : null };
}

const SETTLE_MS = 800;

/** Reports to the lead whenever what this phone can do has changed. */
export function useArmedReport(
  session: PageSession,
  rigIds: readonly string[],
  armed: ArmingView,
  known: boolean,
): void {
  const prefs = usePrefs();
  const said = useRef("");
  const ids = rigIds.join("&");
  useEffect(() => {
    if (!armed.asked || !known || ids === "") return;
    const report = armedReport(armed, prefs);
    session.setArmed(report.sound || report.screen);
    const now = JSON.stringify([ids, report]);
    if (now === said.current) return;
    // Sound and screen are granted one after the other: told once, when it has settled.
    const timer = setTimeout(() => {
      said.current = now;
      for (const id of ids.split("&")) void session.report(id, { armed: report }).catch(() => undefined);
    }, SETTLE_MS);
    return () => clearTimeout(timer);
  }, [session, ids, armed, known, prefs]);
}
