/**
 * Keeps the screen on. Where the browser grants a wake lock, that; on plain http there is none,
 * and a playing picture with a silent sound track may do. The second is unreliable (it is on
 * some phones only, unseen here), so that it counts as "may lock" and the page says what to set.
 */

import type { ArmingView } from "./armed-view.ts";

export class KeepAwake {
  private lock: WakeLockSentinel | null = null;
  private video: HTMLVideoElement | null = null;
  private wanted = false;

  constructor(private readonly changed: () => void) {}

  get state(): ArmingView["screen"] {
    if (this.lock && !this.lock.released) return "locked";
    return this.video && !this.video.paused ? "maybe" : "no";
  }

  /** Inside a tap the first time; may be asked again whenever the page is shown. */
  async ask(audio: AudioContext | null): Promise<void> {
    this.wanted = true;
    if (this.state === "locked" || document.visibilityState !== "visible") return;
    try {
      if (!("wakeLock" in navigator)) throw new Error("no wake lock here");
      this.lock = await navigator.wakeLock.request("screen");
      this.lock.addEventListener("release", () => {
        this.changed();
        if (this.wanted && document.visibilityState === "visible") void this.ask(audio);
      });
    } catch {
      this.lock = null;
      await this.playSilence(audio).catch(() => undefined);
    }
    this.changed();
  }

  private async playSilence(audio: AudioContext | null): Promise<void> {
    if (!this.video) {
      const canvas = document.createElement("canvas");
      canvas.width = canvas.height = 2;
      const context = canvas.getContext("2d");
      if (!context || typeof canvas.captureStream !== "function") return;
      const stream = canvas.captureStream(1);
      if (audio) {
        const silent = audio.createMediaStreamDestination();
        for (const track of silent.stream.getAudioTracks()) stream.addTrack(track);
      }
      const video = document.createElement("video");
      video.className = "rig-awake";
      video.setAttribute("playsinline", "");
      video.setAttribute("aria-hidden", "true");
      video.srcObject = stream;
      document.body.append(video);
      let on = false;
      window.setInterval(() => {
        on = !on;
        context.fillStyle = on ? "#000" : "#111";
        context.fillRect(0, 0, 2, 2);
      }, 1000);
      this.video = video;
    }
    await this.video.play();
  }
}
