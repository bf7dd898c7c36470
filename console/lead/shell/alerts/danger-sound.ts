/**
 * The sound of danger on the lead's console: three short tones, high and low in turn, every two
 * seconds for as long as a danger is to be heard. Made by the page itself: nothing is loaded. A
 * browser lets a page sound only after somebody has pressed something on it; until then `ready` is
 * false, and the page says so.
 */
import { useEffect, useSyncExternalStore } from "react";

const EVERY_MS = 2000;
/** High, low, high: apart from the cues' pips in pitch and in number. Common practice, no source. */
const TONES_HZ = [988, 740, 988] as const;
const TONE_S = 0.18;
const LOUDNESS = 0.5;

class DangerSound {
  private context: AudioContext | null = null;
  private timer: ReturnType<typeof setInterval> | undefined;
  private readonly listeners = new Set<() => void>();

  subscribe = (listener: () => void): (() => void) => {
    this.listeners.add(listener);
    return () => this.listeners.delete(listener);
  };

  ready = (): boolean => this.context?.state === "running";

  /** At any press on the page. */
  unlock = (): void => {
    if (!this.context) {
      this.context = new AudioContext();
      this.context.onstatechange = () => this.tell();
    }
    if (this.context.state !== "running") void this.context.resume().then(() => this.tell());
  };

  start(): void {
    this.stop();
    this.sound();
    this.timer = setInterval(() => this.sound(), EVERY_MS);
  }

  stop(): void {
    clearInterval(this.timer);
  }

  private sound(): void {
    const { context } = this;
    if (context?.state !== "running") return;
    TONES_HZ.forEach((hz, index) => {
      const from = context.currentTime + index * TONE_S * 1.3;
      const tone = new OscillatorNode(context, { type: "square", frequency: hz });
      const gain = new GainNode(context, { gain: 0 });
      // Without an edge that clicks.
      gain.gain.setValueAtTime(0, from);
      gain.gain.linearRampToValueAtTime(LOUDNESS, from + 0.01);
      gain.gain.setValueAtTime(LOUDNESS, from + TONE_S - 0.02);
      gain.gain.linearRampToValueAtTime(0, from + TONE_S);
      tone.connect(gain).connect(context.destination);
      tone.start(from);
      tone.stop(from + TONE_S);
    });
  }

  private tell(): void {
    for (const listener of this.listeners) listener();
  }
}

const sound = new DangerSound();
// From the first press on, which is the one that signs in.
if (typeof window !== "undefined")
  for (const press of ["pointerdown", "keydown"] as const) window.addEventListener(press, sound.unlock);

/** Sounds while `on`; returns whether this page may sound at all yet. */
export function useDangerSound(on: boolean): boolean {
  const ready = useSyncExternalStore(sound.subscribe, sound.ready, () => false);
  useEffect(() => {
    if (!on || !ready) return;
    sound.start();
    return () => sound.stop();
  }, [on, ready]);
  return ready;
}
