/**
 * Sound, voice, vibration and flash as one chunk of its own, fetched as soon as the page stands:
 * the clock and the cues are there first.
 */
import "../../words/bundles/plan.ts";
import "../../words/bundles/run.ts";
import { utcOfRun } from "../../../shared/run/run-time.ts";
import type { UtcMs } from "../../../shared/time/instants.ts";
import type { PageSession } from "../../link/open-session.ts";
import { putWords } from "../../parts/words-for-cue.ts";
import { currentLocale, t } from "../../words/words.ts";
import { Arming } from "../device/arming.ts";
import { flash } from "../device/flash.ts";
import { prefs } from "../device/prefs.ts";
import type { RigScene } from "../run/rig-scene.ts";
import { clipOf, loadClips } from "./clips.ts";
import { OneVoice } from "./one-voice.ts";
import { type PlannedSound, soundPlan } from "./sound-plan.ts";
import { speak, speakingMs } from "./voice.ts";

export class SoundEngine {
  readonly arming: Arming;
  /** The urgent message that is sounded, and when it came. */
  private rung: { id: string | undefined; atUtcMs: UtcMs | null } = { id: undefined, atUtcMs: null };
  /** The first pip that was heard of the count-in that is on. */
  private first: PlannedSound | null = null;
  private rigIds: readonly string[] = [];
  private readonly said = new Map<string, UtcMs>();
  private readonly voice = new OneVoice(() => this.arming.desk.silence());

  constructor(private readonly session: PageSession) {
    this.arming = new Arming({
      now: () => session.now(),
      monoAt: (at) => session.monoAt(at),
      clip: clipOf,
      speak: (words) => speak(words, currentLocale()),
      onset: shakeAndFlash,
      heard: (pip) => this.heard(pip),
      soundDelayMs: () => prefs().soundDelayMs,
      sound: () => prefs().sound,
      voice: () => prefs().voice,
    });
  }

  close(): void {
    this.arming.close();
    this.voice.close();
  }

  /** Called on every draw: several times a second while shown, once a second while hidden. */
  update(scene: RigScene | null, coverUtcMs: UtcMs | null, rings?: string): void {
    if (rings !== this.rung.id) this.rung = { id: rings, atUtcMs: rings ? this.session.now() : null };
    const { desk } = this.arming;
    if (desk.audio && desk.running) void loadClips(currentLocale(), desk.audio);
    this.rigIds = scene?.rigs.map(({ rig }) => rig.id) ?? [];
    if (desk.running && !this.voice.sounds(this.rigIds)) {
      desk.update([]);
      return;
    }
    const practice = scene?.practice ?? null;
    const { c2 = null, c3 = null } = scene?.gets.kind === "total" ? scene.view.contacts : {};
    desk.update(
      soundPlan({
        lines: scene?.picture.lines ?? [],
        practice,
        nowUtcMs: this.session.now(),
        totalityUtcMs:
          c2 !== null && c3 !== null ? { from: utcOfRun(practice, c2), to: utcOfRun(practice, c3) } : null,
        coverUtcMs,
        rungUtcMs: this.rung.atUtcMs,
        say: putWords,
        ready: t("rig.say.ready"),
        cover: t("rig.say.cover"),
        lengthOf,
        said: this.said,
      }),
    );
  }

  /** A count-in is told to the log: a camera beside this phone has it in its sound, whichever rig's it was. */
  private heard(pip: PlannedSound): void {
    if (this.first?.cueId !== pip.cueId) this.first = pip;
    if (pip.kind === "pip") return;
    const report = { countIn: pip.atUtcMs, countInFrom: this.first.atUtcMs };
    for (const id of this.rigIds) void this.session.report(id, report).catch(() => undefined);
    this.first = null;
  }
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
