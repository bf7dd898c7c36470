/**
 * A seeded world for the clock: true time, a hub, a device with a crystal of its own, and a link.
 *
 * True time runs in ms. The hub's UTC is a function of it; the device's monotonic clock has a rate
 * (ppm against true time, may change) and may stand still (suspension). A link delays every message
 * per direction and keeps their order, as TCP does; a lost one comes after a retransmission.
 * Nothing here reads a real clock or a random number that is not seeded.
 */
import { ClockFollower, type ClockReading } from "../../shared/sync/follower.ts";
import { BURST_GAP_MS, type Pace, RIG_PACE } from "../../shared/sync/pace.ts";
import type { HubCourse } from "../../shared/sync/samples.ts";
import { monoMs, utcMs } from "../../shared/time/instants.ts";

/** A seeded generator (mulberry32), values in (0, 1). */
export function random(seed: number): () => number {
  let s = (seed * 0x9e3779b1) >>> 0;
  return () => {
    s = (s + 0x6d2b79f5) >>> 0;
    let z = Math.imul(s ^ (s >>> 15), 1 | s);
    z = (z + Math.imul(z ^ (z >>> 7), 61 | z)) ^ z;
    return (((z ^ (z >>> 14)) >>> 0) + 0.5) / 4294967296;
  };
}

export type Delay = (u: () => number, atMs: number) => number;

export const fixed =
  (ms: number): Delay =>
  () =>
    ms;
/** Lomax: heavy tail above a base, capped. */
export const lomax =
  (base: number, scale: number, alpha: number, cap: number): Delay =>
  (u) =>
    base + Math.min(cap, scale * (u() ** (-1 / alpha) - 1));
/** Pareto of shape 3, scaled to a mean and deviation, as link emulators do. */
export const pareto =
  (mean: number, sd: number): Delay =>
  (u) =>
    Math.max(0, mean + (sd * (u() ** (-1 / 3) - 1.5)) / 0.8660254);

export interface Link {
  up: Delay;
  down: Delay;
  loss?: number;
  /** True intervals [from, to) in ms in which nothing passes. */
  outages?: readonly (readonly [number, number])[];
}

/** The profiles of the network rig (tests/support/lan-rig/profiles.mjs), as far as they matter here. */
export const LINKS = {
  clean: { up: lomax(0.15, 0.05, 3, 5), down: lomax(0.15, 0.05, 3, 5) },
  good: { up: pareto(8, 6), down: pareto(8, 6), loss: 0.01 },
  busy: { up: lomax(3, 25, 2.5, 120), down: lomax(3, 25, 2.5, 120), loss: 0.02 },
  awful: { up: lomax(12, 60, 2, 400), down: lomax(4, 25, 2, 250), loss: 0.08 },
} satisfies Record<string, Link>;

export interface World {
  seed: number;
  durationS: number;
  link: Link;
  /** Rate of the device's clock against true time, ppm, at a true time in ms. */
  devicePpm?: (atMs: number) => number;
  /** Suspensions of the device, true ms: [from, to, does its program know]. */
  suspended?: readonly (readonly [number, number, boolean])[];
  /** Hub's UTC − (EPOCH + true time), ms. */
  hubErrorMs?: (atMs: number) => number;
  course?: (atMs: number) => HubCourse;
  /** Device's wall clock − UTC, ms. */
  wallErrorMs?: (atMs: number) => number;
  /** Resolution of the device's clock, ms; 0 = none. */
  resolutionMs?: number;
  pace?: Pace;
  toNextContactMs?: (atMs: number) => number;
  /** True times at which the hub tells all devices that it stepped. */
  hubTells?: readonly number[];
  /** Reload of the page at these true times: the follower is exported and restored. */
  reloads?: readonly number[];
}

export interface Look {
  atMs: number;
  errorMs: number;
  reading: ClockReading;
}

export interface Journey {
  looks: Look[];
  backwards: number;
  samples: number;
  leastDelayMs: number;
  probes: number;
  follower: ClockFollower;
}

export const EPOCH = 1_817_200_000_000;

/** Lives through a world, looking at the clock four times a second. */
export function live(w: World): Journey {
  const u = random(w.seed);
  const ppm = w.devicePpm ?? (() => 0);
  const hub = (t: number) => EPOCH + t + (w.hubErrorMs?.(t) ?? 0);
  let zero = 1000 * u() * 5000;
  const grid = 250;

  // the device's clock, integrated in steps of a ms grid of 50
  let monoAt = 0;
  let monoValue = 0;
  const asleep = (t: number) => w.suspended?.some(([from, to]) => t >= from && t < to) ?? false;
  const advance = (t: number): number => {
    while (monoAt < t) {
      const step = Math.min(
        50,
        t - monoAt,
        ...(w.suspended ?? []).flatMap(([a, b]) => [a - monoAt, b - monoAt]).filter((d) => d > 1e-9),
      );
      if (!asleep(monoAt)) monoValue += step * (1 + ppm(monoAt) * 1e-6);
      monoAt += step;
    }
    return monoValue;
  };
  const q = w.resolutionMs ?? 0;
  const coarse = (v: number) => (q > 0 ? Math.floor((v + 1e-9) / q) * q : v);
  const mono = (t: number) => monoMs(coarse(zero + advance(t)));
  const wall = (t: number) => utcMs(Math.floor(EPOCH + t + (w.wallErrorMs?.(t) ?? 0)));

  let follower = new ClockFollower(w.pace ?? RIG_PACE);
  const out: Journey = { looks: [], backwards: 0, samples: 0, leastDelayMs: Infinity, probes: 0, follower };
  type Event = { at: number; run: (t: number) => void };
  const queue: Event[] = [];
  const push = (at: number, run: (t: number) => void) => {
    let i = queue.length;
    while (i > 0 && (queue[i - 1] as Event).at > at) i--;
    queue.splice(i, 0, { at, run });
  };
  let lastUp = 0;
  let lastDown = 0;
  let lastSeen = Number.NEGATIVE_INFINITY;
  let generation = 0;
  let loading = false;
  const down = (t: number) => w.link.outages?.some(([from, to]) => t >= from && t < to) ?? false;
  const lost = () => u() < (w.link.loss ?? 0);
  const travel = (delay: Delay, t: number) => {
    let late = 0;
    for (let rto = 250; lost() && rto < 5000; rto *= 2) late += rto;
    return t + late + Math.max(0, delay(u, t));
  };

  const probe = (t: number) => {
    out.probes++;
    if (down(t)) return;
    const gen = generation;
    const t1 = mono(t);
    const atHub = Math.max(lastUp, travel(w.link.up, t));
    lastUp = atHub;
    push(atHub, (now) => {
      const t2 = utcMs(hub(now));
      const leave = now + 0.02;
      const t3 = utcMs(hub(leave));
      if (down(leave)) return;
      const back = Math.max(lastDown, travel(w.link.down, leave));
      lastDown = back;
      const course = w.course?.(leave);
      push(back, (arrived) => {
        // a sleeping program reads its socket when it wakes
        const nap = w.suspended?.find(([from, to]) => arrived >= from && arrived < to);
        const at = nap ? nap[1] + 1 : arrived;
        push(at, (read) => {
          if (gen !== generation || down(read)) return;
          const t4 = mono(read);
          out.samples++;
          out.leastDelayMs = Math.min(out.leastDelayMs, t4 - t1 - (t3 - t2));
          follower.addSample({ t1, t2, t3, t4, hubBoundMs: 5, ...(course ? { course } : {}) });
        });
      });
    });
  };
  const poll = (t: number) => {
    if (!asleep(t) && !loading) {
      const plan = follower.nextProbe(mono(t), { linkUp: !down(t), toNextContactMs: w.toNextContactMs?.(t) });
      if (plan.atMono <= mono(t) + 0.5) {
        follower.noteProbe(mono(t));
        for (let k = 0; k < plan.burst; k++) push(t + k * BURST_GAP_MS, probe);
      }
    }
    push(t + 50, poll);
  };
  push(0.1, poll);
  const look = (t: number) => {
    if (!asleep(t) && !loading) {
      if (Math.round(t / grid) % 4 === 0) follower.noteWake(mono(t), wall(t));
      const reading = follower.read(mono(t));
      if (reading) {
        if (reading.utcMs < lastSeen) out.backwards++;
        lastSeen = reading.utcMs;
        out.looks.push({ atMs: t, errorMs: reading.utcMs - hub(t), reading });
      }
    }
    push(t + grid, look);
  };
  push(grid + 3, look);
  for (const [, to, known] of w.suspended ?? [])
    if (known) push(to + 0.5, (t) => follower.noteSuspension(mono(t), wall(t)));
  for (const at of w.hubTells ?? []) push(at + 5, (t) => follower.requestBurst(mono(t)));
  for (const at of w.reloads ?? []) {
    let saved: string | null = null;
    push(at, (t) => {
      saved = follower.export(mono(t), wall(t));
      generation++;
      loading = true;
    });
    push(at + 400, (t) => {
      zero = 3 - advance(t);
      follower = new ClockFollower(w.pace ?? RIG_PACE);
      if (saved) follower.restore(saved, mono(t), wall(t));
      out.follower = follower;
      loading = false;
    });
  }

  for (let event = queue.shift(); event && event.at <= w.durationS * 1000; event = queue.shift())
    event.run(event.at);
  return out;
}

export interface Score {
  p95Ms: number;
  worstMs: number;
  heldShare: number;
  /** Greatest of boundMs − (half the least delay) over the looks. */
  widestOverMs: number;
  looks: number;
}

/** Errors and bounds between two true times. */
export function score(j: Journey, fromS: number, toS: number): Score {
  const looks = j.looks.filter((l) => l.atMs >= fromS * 1000 && l.atMs < toS * 1000);
  const errors = looks.map((l) => Math.abs(l.errorMs)).sort((a, b) => a - b);
  const held = looks.filter((l) => Math.abs(l.errorMs) <= l.reading.boundMs).length;
  return {
    p95Ms: errors[Math.floor(errors.length * 0.95)] ?? Number.NaN,
    worstMs: errors[errors.length - 1] ?? Number.NaN,
    heldShare: looks.length ? held / looks.length : Number.NaN,
    widestOverMs: Math.max(...looks.map((l) => l.reading.boundMs)) - j.leastDelayMs / 2,
    looks: looks.length,
  };
}
