/**
 * Sounds of the page: plans them from what is on the screen, several times a second, and hands
 * the plan to the audio desk. Tells the lead, through a report, what this phone can do.
 */
import { useEffect, useRef, useState, useSyncExternalStore } from "react";
import { utcOfRun } from "../../../shared/run/run-time.ts";
import type { PageSession } from "../../link/open-session.ts";
import { currentLocale, useWords } from "../../words/words.ts";
import { Arming, type ArmingView, armedReport } from "../device/arming.ts";
import { flash } from "../device/flash.ts";
import { prefs } from "../device/prefs.ts";
import { cueSentence } from "../run/cue-words.ts";
import type { RigScene } from "../run/rig-scene.ts";
import { clipOf, loadClips } from "./clips.ts";
import { type PlannedSound, soundPlan } from "./sound-plan.ts";
import { speak, speakingMs } from "./voice.ts";

export function useSounds(
  session: PageSession,
  scene: RigScene | null,
  cover: boolean,
): { arming: Arming; armed: ArmingView } {
  const { t, locale } = useWords();
  const [arming] = useState(
    () =>
      new Arming({
        now: () => session.now(),
        clip: clipOf,
        speak: (words) => speak(words, currentLocale()),
        onset: shakeAndFlash,
        soundDelayMs: () => prefs().soundDelayMs,
        sound: () => prefs().sound,
        voice: () => prefs().voice,
      }),
  );
  const armed = useSyncExternalStore(arming.subscribe, arming.view, arming.view);
  const coverUtcMs = useRef<number | null>(null);
  if (!cover) coverUtcMs.current = null;
  else coverUtcMs.current ??= session.now();

  useEffect(() => {
    if (armed.sound && arming.desk.audio) void loadClips(locale, arming.desk.audio);
  }, [armed.sound, arming, locale]);

  // On every draw: several times a second while the page is shown, once a second while hidden.
  useEffect(() => {
    if (!armed.asked) return;
    const practice = scene?.practice ?? null;
    const { c2 = null, c3 = null } = scene?.gets.kind === "total" ? scene.view.contacts : {};
    arming.desk.update(
      soundPlan({
        lines: scene?.picture.lines ?? [],
        practice,
        nowUtcMs: session.now(),
        totalityUtcMs:
          c2 !== null && c3 !== null ? { from: utcOfRun(practice, c2), to: utcOfRun(practice, c3) } : null,
        coverUtcMs: coverUtcMs.current,
        say: cueSentence,
        ready: t("rig.say.ready"),
        cover: t("rig.say.cover"),
        lengthOf,
      }),
    );
  });

  useEffect(() => () => arming.close(), [arming]);
  return { arming, armed };
}

/** Reports to the lead whenever what this phone can do has changed. */
export function useArmedReport(
  session: PageSession,
  rigIds: readonly string[],
  armed: ArmingView,
  linkedOnce: boolean,
): void {
  const said = useRef("");
  const ids = rigIds.join("&");
  useEffect(() => {
    if (!armed.asked || !linkedOnce || ids === "") return;
    const report = armedReport(armed);
    session.setArmed(report.sound || report.screen);
    const now = JSON.stringify([ids, report]);
    if (now === said.current) return;
    said.current = now;
    for (const id of ids.split("&")) void session.report(id, { armed: report }).catch(() => undefined);
  }, [session, ids, armed, linkedOnce]);
}

function lengthOf(words: string): number {
  const clip = clipOf(words);
  return clip ? clip.duration * 1000 : speakingMs(words);
}

function shakeAndFlash(sound: PlannedSound): void {
  const { vibration, flash: flashes } = prefs();
  if (vibration) {
    if (sound.kind === "long-pip") navigator.vibrate?.(500);
    else if (sound.kind === "alarm") navigator.vibrate?.([300, 100, 300, 100, 300]);
    else if (sound.kind === "pip") navigator.vibrate?.(60);
  }
  if (flashes && sound.kind !== "words") flash();
}
