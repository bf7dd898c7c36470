/** The loudspeaker of a field: unlocked by a tap, told at every drawing what there is to say. */
import { later, type MonoMs, monoMs, type UtcMs } from "../../../shared/time/instants.ts";
import type { PageBoard } from "../../link/page-board.ts";
import { AudioDesk } from "../../rig/sound/audio-desk.ts";
import { primeVoice, speak, speakingMs } from "../../rig/sound/voice.ts";
import { currentLocale, type Locale, t } from "../../words/words.ts";
import { FieldClips, saidIn } from "./field-clips.ts";
import type { FieldMoments } from "./field-moments.ts";
import { type FieldSound, fieldPlan } from "./field-plan.ts";

/** What is said stays written for so long after it, ms. */
const WRITTEN_MS = 2500;

export interface Caption {
  text: string;
  locale: Locale;
}

export class FieldSpeaker {
  private readonly clips = new FieldClips();
  private readonly desk: AudioDesk;
  private sounds: readonly FieldSound[] = [];

  constructor(private readonly session: Pick<PageBoard, "now">) {
    this.desk = new AudioDesk({
      now: () => session.now(),
      monoAt: (at): MonoMs => monoMs(performance.now() + (at - session.now())),
      clip: (words) => this.clips.of(words),
      speak: (words) => speak(words, this.localeOf(words)),
      onset: () => undefined,
      heard: () => undefined,
      soundDelayMs: () => 0,
      sound: () => true,
      voice: () => true,
    });
  }

  /** Inside a tap. Whether it can be heard; two pips and a long one say so. */
  async start(languages: readonly Locale[]): Promise<boolean> {
    primeVoice();
    const heard = await this.desk.arm();
    if (heard) this.desk.check();
    if (this.desk.audio) void this.clips.load(languages, this.desk.audio);
    return heard;
  }

  get running(): boolean {
    return this.desk.running;
  }

  stop(): void {
    this.desk.silence();
    void this.desk.audio?.suspend();
  }

  update(languages: readonly Locale[], moments: FieldMoments, totalityUtcMs: UtcMs | null): void {
    if (this.desk.audio) void this.clips.load(languages, this.desk.audio);
    this.sounds = fieldPlan({
      ...moments,
      languages,
      words: saidIn,
      totalityUtcMs,
      minute: { text: t("board.sound.minute"), locale: currentLocale() },
      lengthOf: (words) => {
        const clip = this.clips.of(words);
        return clip ? clip.duration * 1000 : speakingMs(words);
      },
    });
    const nowUtcMs = this.session.now();
    this.desk.update(this.sounds.filter(({ atUtcMs }) => atUtcMs > nowUtcMs));
  }

  /** What is being said, in its own language; null while nothing is. */
  captionAt(nowUtcMs: UtcMs): Caption | null {
    const said = this.sounds.findLast(
      ({ saying, atUtcMs, lengthMs }) =>
        saying !== null && atUtcMs <= nowUtcMs && nowUtcMs < later(atUtcMs, lengthMs + WRITTEN_MS),
    );
    return said?.saying && said.locale ? { text: said.saying, locale: said.locale } : null;
  }

  private localeOf(words: string): Locale {
    return this.sounds.find(({ saying }) => saying === words)?.locale ?? currentLocale();
  }
}
