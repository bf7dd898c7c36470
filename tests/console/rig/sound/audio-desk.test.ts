/**
 * What the desk puts on the audio clock, with an audio context of the test's own: times and
 * corrections are the test's, nothing sounds. In a real browser: tests/browser/rig-sound.test.ts.
 */

import { afterEach, beforeEach, describe, expect, it, vi } from "vitest";
import { AudioDesk, type DeskPorts } from "../../../../console/rig/sound/audio-desk.ts";
import type { PlannedSound } from "../../../../console/rig/sound/sound-plan.ts";
import { monoMs, utcMs } from "../../../../shared/time/instants.ts";

/** The page's clock at the start, UTC ms; its monotonic clock then says 10 000 ms, audio 10 s. */
const UTC = 1_817_200_000_000;

let monoNow: number;
/** Page's clock less UTC + monotonic time, ms. */
let aheadMs: number;
/** How much later than at the start the audio clock runs, s. */
let slippedS: number;
let clips: Map<string, object>;
/** Onsets that the context was told, less those taken back, s. */
let started: Set<number>;
/** What the desk said to have sounded. */
let heard: string[];
let audible: boolean;

class FakeNode {
  at = 0;
  gain = { setValueAtTime: () => undefined, linearRampToValueAtTime: () => undefined };
  connect = (to: unknown) => to;
  stop = () => undefined;
  start(at: number): void {
    this.at = at;
    started.add(at);
  }
  disconnect(): void {
    started.delete(this.at);
  }
}

class FakeContext {
  state = "running";
  destination = {};
  resume = async () => undefined;
  get currentTime(): number {
    return monoNow / 1000 - slippedS;
  }
  getOutputTimestamp = () => ({ contextTime: monoNow / 1000 - slippedS, performanceTime: monoNow });
}

const ports: DeskPorts = {
  now: () => utcMs(UTC + monoNow - 10_000 + aheadMs),
  monoAt: (at) => monoMs(at - UTC + 10_000 - aheadMs),
  clip: (words) => (clips.get(words) as AudioBuffer | undefined) ?? null,
  speak: () => () => undefined,
  onset: () => undefined,
  heard: ({ id }) => heard.push(id),
  soundDelayMs: () => 0,
  sound: () => audible,
  voice: () => true,
};

const pip = (id: string, afterMs: number): PlannedSound => ({
  id,
  cueId: "west/cue",
  kind: "pip",
  atUtcMs: utcMs(UTC + afterMs),
  lengthMs: 100,
  saying: null,
});

async function deskWith(): Promise<AudioDesk> {
  const desk = new AudioDesk(ports);
  await desk.arm();
  return desk;
}
/** The plan as the page gives it: only what is still to come. */
const look = (desk: AudioDesk, all: readonly PlannedSound[]) =>
  desk.update(all.filter((sound) => sound.atUtcMs > ports.now()));
const onsets = () => [...started].sort((a, b) => a - b);
const states = () => (window.siteSounds ?? []).map(({ id, state }) => `${id} ${state}`);

beforeEach(() => {
  [monoNow, aheadMs, slippedS] = [10_000, 0, 0];
  [clips, started, heard, audible] = [new Map(), new Set(), [], true];
  vi.stubGlobal("window", globalThis);
  vi.stubGlobal("navigator", {});
  vi.stubGlobal("AudioContext", FakeContext);
  vi.stubGlobal("OscillatorNode", FakeNode);
  vi.stubGlobal("GainNode", FakeNode);
  vi.stubGlobal("AudioBufferSourceNode", FakeNode);
  vi.spyOn(performance, "now").mockImplementation(() => monoNow);
  vi.useFakeTimers({ toFake: ["setTimeout", "clearTimeout"] });
});
afterEach(() => {
  vi.useRealTimers();
  vi.restoreAllMocks();
  vi.unstubAllGlobals();
});

describe("the audio desk", () => {
  it("takes back and schedules anew what a correction of the clock moves", async () => {
    const desk = await deskWith();
    const plan = [pip("a", 2000), pip("b", 3000)];
    look(desk, plan);
    expect(onsets()).toEqual([12, 13]);
    aheadMs = 400;
    look(desk, plan);
    expect(onsets()).toEqual([11.6, 12.6]);
    expect(states()).toEqual(["a cancelled", "b cancelled", "a scheduled", "b scheduled"]);
  });

  it("takes back a pip that the clock was put forward over: it would come late", async () => {
    const desk = await deskWith();
    const plan = [pip("a", 200), pip("b", 1200)];
    look(desk, plan);
    aheadMs = 400;
    look(desk, plan);
    expect(onsets()).toEqual([10.8]);
    expect(states()).toContain("a cancelled");
  });

  it("leaves a pip that has begun, and one that begins in this instant", async () => {
    const desk = await deskWith();
    const plan = [pip("a", 200)];
    look(desk, plan);
    for (const at of [10_190, 10_200, 10_250]) {
      monoNow = at;
      look(desk, plan);
      expect(onsets()).toEqual([10.2]);
    }
    expect(states()).toEqual(["a sounded"]);
    expect(heard).toEqual(["a"]);
  });

  it("says of nothing that it sounded which was taken back, or was not to be heard", async () => {
    const desk = await deskWith();
    look(desk, [pip("a", 2000), pip("b", 3000)]);
    look(desk, [pip("b", 3000)]);
    audible = false;
    look(desk, [pip("b", 3000), pip("c", 4000)]);
    monoNow = 14_500;
    look(desk, []);
    expect(onsets()).toEqual([]);
    expect(states()).toContain("c sounded");
    expect(heard).toEqual([]);
  });

  it("does not cut short nor double a pip that has begun when its instant moves a little later", async () => {
    const desk = await deskWith();
    const plan = [pip("a", 200)];
    look(desk, plan);
    monoNow = 10_190;
    // As with a clock that slows down: shown time stays before the pip for a while.
    aheadMs = -150;
    look(desk, plan);
    monoNow = 10_260;
    look(desk, plan);
    expect(onsets()).toEqual([10.2]);
  });

  it("counts anew for a contact that was shifted by seconds, and lets what sounds sound", async () => {
    const desk = await deskWith();
    look(desk, [pip("a", 200)]);
    monoNow = 10_220;
    look(desk, [pip("a", 1900)]);
    expect(onsets()).toEqual([10.2, 11.9]);
    expect(states()).toEqual(["a sounded", "a scheduled"]);
  });

  it("puts words on the audio clock as soon as their clip has come", async () => {
    const desk = await deskWith();
    const words: PlannedSound = { ...pip("w", 5000), kind: "words", saying: "Take the filter off." };
    look(desk, [words]);
    expect(window.siteSounds?.[0]?.audioTime).toBeNull();
    clips.set("Take the filter off.", { duration: 1 });
    look(desk, [words]);
    expect(onsets()).toEqual([15]);
    expect(states()).toEqual(["w cancelled", "w scheduled"]);
  });

  it("follows an audio clock that slipped within three looks, and no single odd reading", async () => {
    const desk = await deskWith();
    const plan = [pip("a", 9000)];
    const pass = (): void => {
      monoNow += 250;
      look(desk, plan);
    };
    for (let n = 0; n < 15; n++) pass();
    expect(onsets()).toEqual([19]);
    slippedS = 0.03;
    pass();
    slippedS = 0;
    pass();
    expect(onsets()).toEqual([19]);
    slippedS = 0.03;
    for (let n = 0; n < 3; n++) pass();
    expect(onsets()[0]).toBeCloseTo(18.97, 6);
  });
});
