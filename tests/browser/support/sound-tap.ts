/**
 * Listens to a rig page: what really goes to its loudspeaker, sample by sample, and the two clocks
 * beside it. Whatever a page connects to an audio destination is also led to a worklet, which
 * runs on the audio thread and so hears exactly however busy the page is; it notes from which
 * frame to which there was sound. The page's clock and the audio clock are read some hundred
 * times a second against the page's monotonic clock.
 *
 * Assumes a secure context (worklets; 127.0.0.1 is one).
 */

import type { BrowserContext, Page } from "playwright-core";
import type {} from "../../../console/link/page-life.ts";
import type { SiteSound } from "../../../console/rig/sound/audio-desk.ts";

/** A stretch of sound, on the audio clock, seconds. */
export interface HeardSound {
  from: number;
  to: number;
  /** Zero crossings over twice its length: the pitch of a pure tone, Hz. */
  hz: number;
  peak: number;
}

/** A sound as the page put it on the audio clock, and when that was first seen, monotonic ms. */
export interface PutSound extends SiteSound {
  seenMs: number;
}

export interface Heard {
  put: PutSound[];
  heard: HeardSound[];
  /** [monotonic ms, page's clock, UTC ms]. */
  clock: [number, number][];
  /** [monotonic ms, audio time s], from getOutputTimestamp. */
  audio: [number, number][];
}

/** Silence of this many seconds ends a sound. */
const GAP_S = 0.015;
const AUDIBLE = 0.005;
const TAP = `
registerProcessor("tap", class extends AudioWorkletProcessor {
  sound = null;
  process([input]) {
    const samples = input[0] ?? [];
    for (let i = 0; i < samples.length; i++) {
      const at = currentFrame + i;
      const x = samples[i];
      if (Math.abs(x) > ${AUDIBLE}) {
        this.sound ??= { from: at, to: at, crossings: 0, peak: 0, sign: 0 };
        this.sound.to = at;
        this.sound.peak = Math.max(this.sound.peak, Math.abs(x));
        if (this.sound.sign * x < 0) this.sound.crossings++;
        this.sound.sign = Math.sign(x);
      }
    }
    const { sound } = this;
    if (sound && currentFrame - sound.to > ${GAP_S} * sampleRate) {
      this.port.postMessage({
        from: sound.from / sampleRate,
        to: sound.to / sampleRate,
        hz: (sound.crossings / 2 / (sound.to - sound.from)) * sampleRate,
        peak: sound.peak,
      });
      this.sound = null;
    }
    return true;
  }
});`;

type Tap = Omit<Heard, "put"> & { put: { sound: SiteSound; seenMs: number }[] };
type TapWindow = Window & { tap?: Tap };

/** To be called before the context's first page is opened; the context must be made with bypassCSP. */
export async function tapSounds(context: BrowserContext): Promise<void> {
  await context.addInitScript((code) => {
    const path = URL.createObjectURL(new Blob([code], { type: "text/javascript" }));
    const tap: Tap = { put: [], heard: [], clock: [], audio: [] };
    (window as TapWindow).tap = tap;
    const seen = new WeakSet<SiteSound>();
    const buses = new WeakMap<BaseAudioContext, AudioNode>();
    const plain = AudioNode.prototype.connect as (this: AudioNode, to: AudioNode | AudioParam) => AudioNode;
    const busOf = (context: BaseAudioContext): AudioNode => {
      const known = buses.get(context);
      if (known) return known;
      const bus = new GainNode(context);
      buses.set(context, bus);
      void context.audioWorklet.addModule(path).then(() => {
        const node = new AudioWorkletNode(context, "tap");
        node.port.onmessage = ({ data }) => tap.heard.push(data as HeardSound);
        plain.call(bus, node);
        // Silent itself; connected so that it is run.
        plain.call(node, context.destination);
      });
      return bus;
    };
    AudioNode.prototype.connect = function (this: AudioNode, to: AudioNode | AudioParam) {
      if (to === this.context.destination) plain.call(this, busOf(this.context));
      return plain.call(this, to);
    } as typeof AudioNode.prototype.connect;
    setInterval(() => {
      if (!window.siteClock || !window.siteAudio) return;
      const before = performance.now();
      const utcMs = window.siteClock.now();
      tap.clock.push([(before + performance.now()) / 2, utcMs]);
      for (const sound of window.siteSounds ?? []) {
        if (!seen.has(sound)) tap.put.push({ sound, seenMs: before });
        seen.add(sound);
      }
      const { state, performanceTime, contextTime } = window.siteAudio();
      if (state === "running" && performanceTime > 0) tap.audio.push([performanceTime, contextTime]);
    }, 10);
  }, TAP);
}

/** What was heard so far. */
export function soundsOn(page: Page): Promise<HeardSound[]> {
  return page.evaluate(() => (window as TapWindow).tap?.heard ?? []);
}

export function heardOn(page: Page): Promise<Heard> {
  return page.evaluate(() => {
    const { tap } = window as TapWindow;
    if (!tap) throw new Error("this page is not listened to");
    return { ...tap, put: tap.put.map(({ sound, seenMs }) => ({ ...sound, seenMs })) };
  });
}

/** Monotonic time at which a sample left the output, ms: by the nearest readings. */
export function monoOfAudio({ audio }: Heard, audioTime: number): number {
  const nearest = [...audio].sort((a, b) => Math.abs(a[1] - audioTime) - Math.abs(b[1] - audioTime));
  const offsets = nearest.slice(0, 5).map(([mono, at]) => mono - at * 1000);
  const median = offsets.sort((a, b) => a - b)[2];
  if (median === undefined) throw new Error("the audio clock was not read");
  return median + audioTime * 1000;
}

/**
 * By how much the audio clock fell back against the monotonic one within a time, ms: a machine
 * that starves its audio does that, and nobody can foresee it.
 */
export function audioSlipMs({ audio }: Heard, fromMonoMs: number, toMonoMs: number): number {
  const first = audio.findLastIndex(([mono]) => mono <= fromMonoMs);
  const last = audio.findIndex(([mono]) => mono >= toMonoMs);
  const within = audio.slice(Math.max(0, first), last < 0 ? undefined : last + 1);
  const offsets = within.map(([mono, at]) => mono - at * 1000);
  return Math.max(...offsets) - Math.min(...offsets);
}

/** Readings so near, ms, or between which the clock ran so true, ms, tell what it showed between. */
const [NEAR_MS, TRUE_MS] = [30, 2];

/** What the page's clock showed, UTC ms: between two readings along a line; null where that is vague. */
export function pageClockAt({ clock }: Heard, mono: number): number | null {
  const after = clock.findIndex(([at]) => at >= mono);
  const [a, b] = [clock[after - 1], clock[after]];
  if (!a || !b) return null;
  const ranOffMs = Math.abs(b[1] - a[1] - (b[0] - a[0]));
  if (b[0] - a[0] > NEAR_MS && ranOffMs > TRUE_MS) return null;
  return a[1] + ((b[1] - a[1]) * (mono - a[0])) / (b[0] - a[0]);
}
