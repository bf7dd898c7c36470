/**
 * "Arm this phone": screen kept on, sound, voice and vibration asked for in one tap, because
 * browsers grant them only inside one, once per page load. After a lock, a call or a reload the
 * phone is armed again by itself where the browser lets it, else by the next touch.
 */
import { AudioDesk, type DeskPorts } from "../sound/audio-desk.ts";
import { canSpeak, primeVoice } from "../sound/voice.ts";
import { type ArmingView, NOT_ARMED } from "./armed-view.ts";
import { KeepAwake } from "./keep-awake.ts";
import { prefs, setPrefs } from "./prefs.ts";

export class Arming {
  readonly desk: AudioDesk;
  private readonly awake: KeepAwake;
  private readonly listeners = new Set<() => void>();
  private current: ArmingView = NOT_ARMED;
  private asked = false;
  private readonly remove: () => void;

  constructor(ports: DeskPorts) {
    this.desk = new AudioDesk(ports);
    this.awake = new KeepAwake(() => this.changed());
    const shown = (): void => {
      if (document.visibilityState === "visible" && this.asked) void this.ask();
      else this.changed();
    };
    const touched = (): void => {
      if ((this.asked || prefs().wasArmed) && !this.holds()) void this.ask();
    };
    document.addEventListener("visibilitychange", shown);
    window.addEventListener("pageshow", shown);
    window.addEventListener("pointerup", touched, true);
    window.addEventListener("keydown", touched, true);
    this.remove = () => {
      document.removeEventListener("visibilitychange", shown);
      window.removeEventListener("pageshow", shown);
      window.removeEventListener("pointerup", touched, true);
      window.removeEventListener("keydown", touched, true);
    };
  }

  close(): void {
    this.remove();
    this.desk.silence();
  }

  /**
   * The tap. `askPosition` asks for what only some moments allow: the browser's question for the
   * position covers the page. It is not part of what is asked again by any touch.
   */
  async arm(askPosition?: () => void): Promise<void> {
    setPrefs({ wasArmed: true });
    primeVoice();
    if (prefs().vibration) navigator.vibrate?.([60, 60, 60]);
    const asked = this.ask();
    askPosition?.();
    await asked;
    this.desk.check();
  }

  view = (): ArmingView => this.current;

  subscribe = (listener: () => void): (() => void) => {
    this.listeners.add(listener);
    return () => this.listeners.delete(listener);
  };

  private holds(): boolean {
    return this.asked && this.desk.running && this.awake.state !== "no";
  }

  private async ask(): Promise<void> {
    this.asked = true;
    const sound = this.desk.arm();
    const audio = this.desk.audio;
    if (audio) audio.onstatechange = () => this.changed();
    await Promise.all([sound, this.awake.ask(audio)]);
    this.changed();
  }

  private changed(): void {
    const next: ArmingView = {
      asked: this.asked,
      screen: this.awake.state,
      sound: this.desk.running,
      voice: this.desk.running || (this.asked && canSpeak()),
      vibration: this.asked && typeof navigator.vibrate === "function",
    };
    if (JSON.stringify(next) === JSON.stringify(this.current)) return;
    this.current = next;
    for (const listener of this.listeners) listener();
  }
}
