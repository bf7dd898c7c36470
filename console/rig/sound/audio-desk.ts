/**
 * Puts planned sounds on the audio clock, ahead of time: they then come on time however busy the
 * page is. When the eclipse clock is corrected, a contact shifted or a cue marked, what is no
 * longer right is taken back and scheduled anew.
 *
 * Two mappings lie between UTC and the loudspeaker. UTC → the page's monotonic clock: the
 * session's, which knows what its clock is still running off. Monotonic → audio time: `getOutputTimestamp` says which sample leaves the output
 * when; the median of some readings is used, since single ones jitter, and only the newest when
 * the audio clock has slipped. What lies behind the
 * output (a Bluetooth speaker) nobody can measure here: its delay is entered by hand.
 */
import { type MonoMs, monoMs, type UtcMs } from "../../../shared/time/instants.ts";
import type { PlannedSound } from "./sound-plan.ts";

/** One sound as the page's tests and tools see it. */
export interface SiteSound {
  id: string;
  cueId: string;
  kind: PlannedSound["kind"];
  atUtcMs: UtcMs;
  /** Onset on the audio clock, seconds; null for words that only speech synthesis can say. */
  audioTime: number | null;
  state: "scheduled" | "sounded" | "cancelled";
}

interface AudioReading {
  state: AudioContextState | "none";
  currentTime: number;
  /** The sample that leaves the output at `performanceTime`. */
  contextTime: number;
  performanceTime: number;
}

declare global {
  interface Window {
    siteSounds?: readonly SiteSound[];
    siteAudio?: () => AudioReading;
  }
  interface Navigator {
    audioSession?: { type: string };
  }
}

export interface DeskPorts {
  /** Real UTC, ms with fraction. */
  now: () => UtcMs;
  /** When now() will show an instant, monotonic ms. */
  monoAt: (at: UtcMs) => MonoMs;
  /** The decoded clip of some words in the language shown. */
  clip: (words: string) => AudioBuffer | null;
  /** Says words that have no clip; not exact. The answer stops it. */
  speak: (words: string) => () => void;
  /** Told at each onset that also shakes and flashes. */
  onset: (sound: PlannedSound) => void;
  /** Told a little later of each pip that left the loudspeaker on its instant. */
  heard: (pip: PlannedSound) => void;
  soundDelayMs: () => number;
  sound: () => boolean;
  voice: () => boolean;
}

/** Off by more than this a scheduled sound is scheduled anew, ms. */
const REDO_MS = 2;
/** A pip that would come later than this after its instant is dropped, ms; common practice, no source. */
const JUMP_MS = 20;
/** A sound this near is left alone: cutting it would be worse than a small error, ms. */
const LEAVE_MS = 60;
/** A contact that moves later by more than this is counted in anew, ms. */
const ONCE_MORE_MS = 500;
const READINGS = 15;
/** Audio that was starved goes on late: so many readings beside the rest by more than this, s. */
const SLIPPED = { readings: 3, byS: 0.005 };
const KEPT = 300;

interface Scheduled {
  planned: PlannedSound;
  /** When it is due on the page's monotonic clock, ms. */
  dueMs: MonoMs;
  entry: SiteSound;
  /** It is on the audio clock. */
  exact: boolean;
  cancel: () => void;
}

export class AudioDesk {
  private context: AudioContext | null = null;
  private readonly scheduled = new Map<string, Scheduled>();
  private entries: SiteSound[] = [];
  private offsets: number[] = [];

  constructor(private readonly ports: DeskPorts) {
    window.siteSounds = this.entries;
    window.siteAudio = () => this.reading();
  }

  get running(): boolean {
    return this.context?.state === "running";
  }

  /** To be called inside a tap. Resolves with whether sound can be heard from now on. */
  async arm(): Promise<boolean> {
    try {
      // iOS: sounds in spite of the silent switch.
      if (navigator.audioSession) navigator.audioSession.type = "playback";
      this.context ??= new AudioContext({ latencyHint: "interactive" });
      // iOS may leave resume() pending: it must not hold the tap's other requests up.
      await Promise.race([this.context.resume(), new Promise((resolve) => setTimeout(resolve, 1500))]);
    } catch {
      return false;
    }
    return this.running;
  }

  get audio(): AudioContext | null {
    return this.context;
  }

  /** The volume check: two pips and a long one, now. */
  check(): void {
    const { context } = this;
    if (!context) return;
    const at = context.currentTime + 0.1;
    beep(context, at, 0.1, PIP_HZ);
    beep(context, at + 0.5, 0.1, PIP_HZ);
    beep(context, at + 1, 0.5, PIP_HZ);
  }

  /** Makes what is scheduled equal to the plan. Cheap; called several times a second. */
  update(plan: readonly PlannedSound[]): void {
    const nowUtcMs = this.ports.now();
    const nowMs = monoMs(performance.now());
    this.measure();
    const wanted = new Set(plan.map((sound) => sound.id));
    for (const [id, item] of this.scheduled) {
      const past = item.planned.atUtcMs <= nowUtcMs;
      // The clock was put forward over it: a pip would come late, and be taken for another. One that
      // a small correction has made late by less than an ear can tell is left alone.
      const jumped = past && item.dueMs > nowMs + JUMP_MS && isPip(item.planned);
      if (jumped) this.drop(id, item);
      else if (past) {
        if (item.planned.atUtcMs + item.planned.lengthMs + 1000 < nowUtcMs) this.scheduled.delete(id);
        this.sounded(item);
      } else if (!wanted.has(id)) this.drop(id, item);
    }
    if (!this.running || !this.context) return;
    for (const sound of plan) {
      const dueMs = this.ports.monoAt(sound.atUtcMs);
      const audioTime = this.audioTimeAt(dueMs - this.ports.soundDelayMs());
      const old = this.scheduled.get(sound.id);
      if (old && !this.mustMove(old, sound, audioTime, dueMs, nowMs)) continue;
      if (old && old.dueMs - nowMs < LEAVE_MS) this.leave(sound.id, old);
      else if (old) this.drop(sound.id, old);
      this.put(sound, audioTime, dueMs);
    }
  }

  silence(): void {
    for (const [id, item] of this.scheduled) this.drop(id, item);
  }

  reading(): AudioReading {
    const stamp = this.context?.getOutputTimestamp();
    return {
      state: this.context?.state ?? "none",
      currentTime: this.context?.currentTime ?? 0,
      contextTime: stamp?.contextTime ?? 0,
      performanceTime: stamp?.performanceTime ?? 0,
    };
  }

  private mustMove(
    old: Scheduled,
    sound: PlannedSound,
    audioTime: number,
    dueMs: MonoMs,
    nowMs: MonoMs,
  ): boolean {
    if (dueMs - nowMs < LEAVE_MS) return false;
    // It has begun, or cannot be stopped whole any more; only a far later one is heard once more.
    if (old.dueMs - nowMs < LEAVE_MS) return dueMs - old.dueMs > ONCE_MORE_MS;
    if (old.planned.saying !== sound.saying) return true;
    // Its clip has come meanwhile, or sound was switched off or on.
    if ((old.entry.audioTime !== null) !== this.isExact(sound)) return true;
    if (old.entry.audioTime === null) return Math.abs(old.planned.atUtcMs - sound.atUtcMs) > 100;
    return Math.abs(old.entry.audioTime - audioTime) * 1000 > REDO_MS;
  }

  /** Lets it sound, and forgets it. */
  private leave(id: string, item: Scheduled): void {
    this.sounded(item);
    this.scheduled.delete(id);
  }

  private sounded({ entry, exact, planned }: Scheduled): void {
    if (exact && isPip(planned) && entry.state === "scheduled") this.ports.heard(planned);
    entry.state = "sounded";
  }

  private drop(id: string, item: Scheduled): void {
    item.cancel();
    if (item.entry.state === "scheduled") item.entry.state = "cancelled";
    this.scheduled.delete(id);
  }

  private isAudible({ kind }: PlannedSound): boolean {
    return kind === "words" ? this.ports.voice() : this.ports.sound();
  }

  /** Whether it can be put on the audio clock: words only when there is a clip of them. */
  private isExact(sound: PlannedSound): boolean {
    const clip = sound.saying ? this.ports.clip(sound.saying) : null;
    return this.isAudible(sound) && (sound.kind !== "words" || clip !== null);
  }

  private put(sound: PlannedSound, audioTime: number, dueMs: MonoMs): void {
    const { context, ports } = this;
    if (!context) return;
    const { id, cueId, kind, atUtcMs, saying } = sound;
    const clip = saying ? ports.clip(saying) : null;
    const audible = this.isAudible(sound);
    const exact = this.isExact(sound);
    const entry: SiteSound = {
      id,
      cueId,
      kind,
      atUtcMs,
      audioTime: exact ? audioTime : null,
      state: "scheduled",
    };
    const stops: (() => void)[] = [];
    const timer = window.setTimeout(
      () => {
        ports.onset(sound);
        if (audible && saying && !clip) stops.push(ports.speak(saying));
      },
      Math.max(0, dueMs - performance.now()),
    );
    stops.push(() => window.clearTimeout(timer));
    const onClock = exact && audioTime > context.currentTime;
    if (onClock) {
      if (kind === "alarm") stops.push(...alarm(context, audioTime));
      else if (clip) stops.push(play(context, audioTime, clip));
      else if (kind !== "words") stops.push(beep(context, audioTime, sound.lengthMs / 1000, PIP_HZ));
    }
    this.scheduled.set(id, {
      planned: sound,
      dueMs,
      entry,
      exact: onClock,
      cancel: () => {
        for (const stop of stops) stop();
      },
    });
    this.entries.push(entry);
    if (this.entries.length > KEPT) this.entries.splice(0, this.entries.length - KEPT);
  }

  /** Audio time minus monotonic time, s; the median of the last readings. */
  private measure(): void {
    const { context } = this;
    if (context?.state !== "running") {
      this.offsets = [];
      return;
    }
    const stamp = context.getOutputTimestamp();
    const known = stamp.performanceTime !== undefined && stamp.performanceTime > 0;
    const offset =
      known && stamp.contextTime !== undefined
        ? stamp.contextTime - (stamp.performanceTime ?? 0) / 1000
        : context.currentTime -
          (context.outputLatency || context.baseLatency || 0) -
          performance.now() / 1000;
    const offsets = [...this.offsets, offset].slice(-READINGS);
    const newest = offsets.slice(-SLIPPED.readings);
    const usual = median(offsets);
    const slipped =
      newest.every((value) => value - usual > SLIPPED.byS) ||
      newest.every((value) => usual - value > SLIPPED.byS);
    this.offsets = slipped ? newest : offsets;
  }

  private audioTimeAt(monoMs: number): number {
    return monoMs / 1000 + median(this.offsets);
  }
}

function median(values: readonly number[]): number {
  const sorted = [...values].sort((a, b) => a - b);
  return sorted[Math.floor(sorted.length / 2)] ?? 0;
}

const isPip = ({ kind }: PlannedSound): boolean => kind === "pip" || kind === "long-pip";

const PIP_HZ = 1000;
/** Ramps that keep a pip from clicking, s: a tenth of the 10 ms that an onset may be off. */
const RAMP_S = 0.001;

function beep(context: AudioContext, at: number, lengthS: number, hz: number): () => void {
  const oscillator = new OscillatorNode(context, { frequency: hz });
  const gain = new GainNode(context, { gain: 0 });
  gain.gain.setValueAtTime(0, at);
  gain.gain.linearRampToValueAtTime(0.9, at + RAMP_S);
  gain.gain.setValueAtTime(0.9, at + lengthS - 0.005);
  gain.gain.linearRampToValueAtTime(0, at + lengthS);
  oscillator.connect(gain).connect(context.destination);
  oscillator.start(at);
  oscillator.stop(at + lengthS + 0.01);
  return () => {
    oscillator.disconnect();
    gain.disconnect();
  };
}

function alarm(context: AudioContext, at: number): (() => void)[] {
  return [0, 0.4, 0.8, 1.2].flatMap((offset) => [
    beep(context, at + offset, 0.2, 880),
    beep(context, at + offset + 0.2, 0.18, 660),
  ]);
}

function play(context: AudioContext, at: number, buffer: AudioBuffer): () => void {
  const source = new AudioBufferSourceNode(context, { buffer });
  source.connect(context.destination);
  source.start(at);
  return () => source.disconnect();
}
