/**
 * A device's idea of the hub's clock: four-timestamp samples in, time with a bound out.
 *
 * Model. The hub's UTC without its announced corrections (HubCourse) and the device's monotonic
 * clock both run at steady rates, within 550 ppm of each other, for some minutes. corridor.ts fits
 * the line between them; this file keeps the window of samples, cuts it when it no longer fits
 * (a clock was slewed or stopped, the path changed), slews what is shown, and states the bound.
 *
 * boundMs covers: half the corridor's width (asymmetry no exchange can see), a multiple of the
 * spread of the fit carried to the asked instant, wander of both crystals with the age of the last
 * sample, the resolution of the device's clock, and what is still being slewed. It is against the
 * hub's timeline as last announced; utcBoundMs adds the hub's own bound, grown with age.
 *
 * Assumes that the hub does not step between samples (steps are told by `course`), and that the
 * monotonic clock runs unless noteWake or noteSuspension says otherwise. Pure: times are arguments.
 */
import { type MonoMs, monoMs, type UtcMs, utcMs } from "../time/instants.ts";
import { type CorridorFit, fitCorridor, type Poll, RATE_LIMIT, type RatePrior } from "./corridor.ts";
import { type Pace, type PaceContext, pollGapMs, RIG_PACE } from "./pace.ts";
import { type ClockSample, courseShiftMs, type HubCourse, sampleDelayMs, sampleFault } from "./samples.ts";

export interface ClockReading {
  /** The hub's UTC in ms with fraction; never decreases for a non-decreasing `mono`. */
  utcMs: UtcMs;
  /** |error against the hub| ≤ boundMs. */
  boundMs: number;
  /** The same against UTC: boundMs plus the hub's own bound, grown with age. */
  utcBoundMs: number;
  state: "linked" | "holdover";
  /** Since the last sample, ms. */
  ageMs: number;
  /** Rate of the hub against this device's clock, ppm; positive: the device runs slow. */
  skewPpm: number;
}

export interface NextProbe {
  /** When to send the burst; at once when not after the present. */
  atMono: MonoMs;
  /** Number of exchanges, BURST_GAP_MS apart. */
  burst: number;
}

/** Linked means: the last sample is not older than this. */
export const LINKED_MS = 15_000;
/** Window of samples. */
const WINDOW_S = 600;
const MAX_POLLS = 240;
/** Samples whose t1 lie this near are one poll. */
const POLL_MS = 150;
/** Multiple of the spread that goes into the bound. */
const SPREADS = 3.5;
/** Wander of two crystals against each other, ms per s of age. Common practice: 1–3 ppm in the sun. */
const WANDER = 3e-3;
/** Growth of the hub's own bound while not heard, ms per s (PHI of RFC 5905). */
const HUB_DRIFT = 15e-3;
/** Corrections up to this fraction of time are slewed. */
const SLEW = 0.05;
/** Larger backward corrections slow the clock down to this rate. */
const SLOWEST = 0.5;
/** A forward correction above this is taken at once. */
const FORWARD_STEP_MS = 250;
/** A hub set back by more than this starts a new timeline: the one step backwards there is. */
export const BACK_STEP_MS = 30_000;
/** Wall clock against monotonic: smaller changes are slews of the wall clock. */
const JUMP_MS = 100;
/** What a wall clock may do over a reload or a sleep: read to 1 ms, slewed or nudged meanwhile. */
const WALL_TRUST_MS = 25;
const WALL_DRIFT = 0.1; // ms per s: 100 ppm

const FREE_PRIOR: RatePrior = { centre: 0, width: 0.1 };

interface Line {
  /** Device time in s where the line is anchored. */
  x0: number;
  offset: number;
  rate: number;
  half: number;
  varOffset: number;
  varRate: number;
  covariance: number;
}

export class ClockFollower {
  private polls: (Poll & { t1: number })[] = [];
  /** Subtracted from all θ to keep digits. */
  private base = 0;
  private prior: RatePrior = FREE_PRIOR;
  private line: Line | null = null;
  private stale = false;
  private course: HubCourse | undefined;
  private hubBoundMs = 0;
  private heardUtc = 0;
  private heardMono = Number.NEGATIVE_INFINITY;
  /** Doubt added by suspensions and restarts until the next sample, ms, growing with WALL_DRIFT. */
  private doubtMs = 0;
  /** What is shown minus what is estimated, at mono `slewFrom`. */
  private slewMs = 0;
  private slewFrom = 0;
  private shown: { mono: number; utc: number } | null = null;
  private joinedMono: number | null = null;
  private lastProbe = Number.NEGATIVE_INFINITY;
  private urgent = true;
  private wallMinusMono: number | null = null;
  private resolution = new Resolution();
  /** Exchanges refused as impossible, and windows cut because they no longer fitted. */
  readonly counts = { refused: 0, cut: 0 };

  constructor(private readonly pace: Pace = RIG_PACE) {}

  /** Takes an exchange; false when it is impossible or tells nothing (samples.ts says why). */
  addSample(sample: ClockSample): boolean {
    if (sampleFault(sample)) {
      this.counts.refused++;
      return false;
    }
    const { t1, t2, t3, t4, course } = sample;
    this.hold(t4);
    if (course?.epoch !== this.course?.epoch || this.doubtMs > 0) this.startWindow();
    this.course = course;
    this.hubBoundMs = sample.hubBoundMs;
    this.heardUtc = t3;
    this.heardMono = t4;
    this.resolution.see(t1);
    this.resolution.see(t4);
    const shift = course?.shiftMs ?? 0;
    if (this.polls.length === 0) {
      this.base = t2 - shift - t1;
      this.joinedMono ??= t1;
    }
    const upY = t2 - shift - t1 - this.base;
    const downY = t3 - shift - t4 - this.base - this.resolution.ms;
    const last = this.polls[this.polls.length - 1];
    if (last && t1 - last.t1 < POLL_MS) {
      if (upY < last.upY) Object.assign(last, { upX: t1 / 1000, upY });
      if (downY > last.downY) Object.assign(last, { downX: t4 / 1000, downY });
    } else {
      this.polls.push({ t1, upX: t1 / 1000, upY, downX: t4 / 1000, downY });
      this.trim();
    }
    this.doubtMs = 0;
    this.stale = true;
    if (sampleDelayMs(sample) < 1000) this.urgent = false;
    if (t1 > this.lastProbe) this.lastProbe = t1;
    this.settle(t4);
    return true;
  }

  /** The time at a reading of the device's monotonic clock, or null when never synced. */
  read(mono: MonoMs): ClockReading | null {
    const line = this.fit();
    if (!line) return null;
    const ageMs = Math.max(0, mono - this.heardMono);
    const free = this.estimate(line, mono);
    const left = this.slewLeft(mono);
    let utc = free + left;
    if (this.shown && mono >= this.shown.mono && utc < this.shown.utc) utc = this.shown.utc;
    if (!this.shown || mono >= this.shown.mono) this.shown = { mono, utc };
    const boundMs = this.lineBound(line, mono) + Math.abs(utc - free);
    return {
      utcMs: utcMs(utc),
      boundMs,
      utcBoundMs: boundMs + this.hubBoundMs + HUB_DRIFT * (ageMs / 1000),
      state: ageMs <= LINKED_MS && this.doubtMs === 0 ? "linked" : "holdover",
      ageMs,
      skewPpm: line.rate * 1000,
    };
  }

  /** When to send the next burst. Tell of each burst sent with noteProbe. */
  nextProbe(mono: MonoMs, context: PaceContext): NextProbe {
    const sinceJoin = this.joinedMono === null ? 0 : mono - this.joinedMono;
    const gap = this.urgent
      ? Math.min(250, pollGapMs(this.pace, 0, context))
      : pollGapMs(this.pace, sinceJoin, context);
    return { atMono: monoMs(Math.max(mono, this.lastProbe + gap)), burst: this.pace.burst };
  }

  /** A burst is being sent. */
  noteProbe(mono: MonoMs): void {
    this.lastProbe = mono;
  }

  /** Ask for a fresh burst now, and for the pace of a fresh join (link came back, hub says it stepped). */
  requestBurst(mono: MonoMs): void {
    this.urgent = true;
    this.lastProbe = Number.NEGATIVE_INFINITY;
    this.joinedMono = mono;
  }

  /**
   * Call about once a second while running, and whenever the page wakes: both clocks, read together.
   * If the wall clock gained on the monotonic one, either was it set or the monotonic clock stood
   * still; until a sample decides, the time stays and the bound covers both. Returns the jump in ms.
   */
  noteWake(mono: MonoMs, wall: UtcMs): number {
    const jump = this.jump(mono, wall);
    if (Math.abs(jump) < JUMP_MS) return 0;
    // a monotonic clock cannot have run ahead: backwards, only the wall clock was set
    if (jump > 0 && this.line) this.doubtMs += jump;
    this.requestBurst(mono);
    return jump;
  }

  /**
   * The program knows that it was suspended (frozen page, sleep). The wall clock says for how long
   * the monotonic clock stood still: the time is moved on by it, the bound widened. Returns ms moved.
   */
  noteSuspension(mono: MonoMs, wall: UtcMs): number {
    const before = this.wallMinusMono;
    const jump = before === null ? 0 : wall - mono - before;
    this.wallMinusMono = wall - mono;
    this.requestBurst(mono);
    if (jump <= 2 || !this.line) return 0;
    this.fit();
    this.startWindow();
    this.line.offset += jump;
    this.heardMono -= jump;
    this.doubtMs += WALL_TRUST_MS + WALL_DRIFT * (jump / 1000);
    return jump;
  }

  /** Everything needed to go on after a reload, as JSON text; null when never synced. */
  export(mono: MonoMs, wall: UtcMs): string | null {
    const line = this.fit();
    const now = this.read(mono);
    if (!line || !now) return null;
    return JSON.stringify({
      v: 1,
      wall,
      free: this.estimate(line, mono),
      shown: now.utcMs,
      bound: this.lineBound(line, mono),
      age: now.ageMs,
      rate: line.rate,
      rateVar: line.varRate,
      hubBound: this.hubBoundMs,
      heardUtc: this.heardUtc,
      course: this.course,
    });
  }

  /**
   * Goes on from export() in a program whose monotonic clock starts anew: the wall clock bridges
   * the gap, and the bound says so. False (and nothing changed) when the text is not ours, when the
   * wall clock went back, or after more than 12 h.
   */
  restore(text: string, mono: MonoMs, wall: UtcMs): boolean {
    const s = parseSaved(text);
    if (!s || this.line) return false;
    const gap = wall - s.wall;
    if (gap < -1 || gap > 12 * 3_600_000) return false;
    const bridged = s.free + gap * (1 + s.rate / 1000);
    this.course = s.course;
    this.heardUtc = s.heardUtc;
    this.hubBoundMs = s.hubBound;
    this.heardMono = mono - s.age - gap;
    this.base = bridged - mono - courseShiftMs(s.course, s.heardUtc, bridged);
    this.line = {
      x0: mono / 1000,
      offset: 0,
      rate: s.rate,
      half: s.bound,
      varOffset: 0,
      varRate: s.rateVar,
      covariance: 0,
    };
    this.doubtMs = WALL_TRUST_MS + WALL_DRIFT * (Math.max(0, gap) / 1000);
    this.prior = { centre: s.rate, width: Math.max(0.005, 3 * Math.sqrt(s.rateVar)) };
    this.wallMinusMono = wall - mono;
    this.requestBurst(mono);
    return true;
  }

  private jump(mono: number, wall: number): number {
    const now = wall - mono;
    const jump = this.wallMinusMono === null ? 0 : now - this.wallMinusMono;
    this.wallMinusMono = now;
    return jump;
  }

  /** Remembers what is shown, so that the next fit is slewed to. */
  private hold(mono: number): void {
    const line = this.fit();
    if (line) this.shownBefore = this.estimate(line, mono) + this.slewLeft(mono);
    else this.shownBefore = null;
    this.shownBeforeMono = mono;
  }
  private shownBefore: number | null = null;
  private shownBeforeMono = 0;

  private settle(mono: number): void {
    const line = this.fit();
    if (!line || this.shownBefore === null) return;
    const shown = this.shownBefore + (mono - this.shownBeforeMono);
    const ahead = shown - this.estimate(line, mono);
    this.slewFrom = mono;
    this.slewMs = ahead < -FORWARD_STEP_MS ? 0 : ahead;
    if (ahead > BACK_STEP_MS) {
      this.slewMs = 0;
      this.shown = null;
    }
  }

  /** What of the correction is still to be slewed. */
  private slewLeft(mono: number): number {
    const past = Math.max(0, mono - this.slewFrom);
    const size = Math.abs(this.slewMs);
    const rate = this.slewMs > FORWARD_STEP_MS ? SLOWEST : SLEW;
    return Math.sign(this.slewMs) * Math.max(0, size - rate * past);
  }

  private startWindow(): void {
    if (this.line)
      this.prior = { centre: this.line.rate, width: Math.max(0.01, 3 * Math.sqrt(this.line.varRate)) };
    this.polls = [];
    this.stale = false;
  }

  private trim(): void {
    const newest = this.polls[this.polls.length - 1]?.t1 ?? 0;
    while ((this.polls[0]?.t1 ?? newest) < newest - WINDOW_S * 1000) this.polls.shift();
    if (this.polls.length > MAX_POLLS) this.polls.shift();
  }

  private fit(): Line | null {
    if (!this.stale) return this.line;
    this.stale = false;
    let fit: CorridorFit | null = null;
    for (;;) {
      fit = fitCorridor(this.polls, this.prior, 2 * this.resolution.ms);
      if (fit || this.polls.length <= 1) break;
      this.counts.cut++;
      this.polls = this.polls.slice(Math.ceil(this.polls.length / 2));
    }
    if (fit) this.line = fit;
    return this.line;
  }

  /** The hub's UTC by the line, corrections added. */
  private estimate(line: Line, mono: number): number {
    const bare = mono + this.base + line.offset + line.rate * (mono / 1000 - line.x0);
    const shift = courseShiftMs(this.course, this.heardUtc, bare + (this.course?.shiftMs ?? 0));
    return bare + shift;
  }

  private lineBound(line: Line, mono: number): number {
    const x = mono / 1000 - line.x0;
    const variance = line.varOffset + 2 * x * line.covariance + x * x * line.varRate;
    const age = Math.max(0, mono - this.heardMono) / 1000;
    const doubt = this.doubtMs > 0 ? this.doubtMs + WALL_DRIFT * age : 0;
    return line.half + SPREADS * Math.sqrt(Math.max(0, variance)) + WANDER * age + this.resolution.ms + doubt;
  }
}

/** Finds out to what step a clock is rounded (browsers coarsen theirs): 1, 0.1 or finer, in ms. */
class Resolution {
  ms = 0.01;
  private readonly seen: number[] = [];

  see(value: number): void {
    this.seen.push(value);
    if (this.seen.length > 16) this.seen.shift();
    const multiple = (step: number) =>
      this.seen.every((v) => Math.abs(v / step - Math.round(v / step)) < (1e-3 / step) * 0.2);
    this.ms = this.seen.length < 4 ? 0.1 : multiple(1) ? 1 : multiple(0.1) ? 0.1 : 0.01;
  }
}

interface Saved {
  wall: number;
  free: number;
  bound: number;
  age: number;
  rate: number;
  rateVar: number;
  hubBound: number;
  heardUtc: number;
  course: HubCourse | undefined;
}

function parseSaved(text: string): Saved | null {
  let s: Record<string, unknown>;
  try {
    s = JSON.parse(text);
  } catch {
    return null;
  }
  if (typeof s !== "object" || s === null || s.v !== 1) return null;
  for (const key of ["wall", "free", "bound", "age", "rate", "rateVar", "hubBound", "heardUtc"])
    if (!Number.isFinite(s[key])) return null;
  if (Math.abs(s.rate as number) > RATE_LIMIT) return null;
  return s as unknown as Saved;
}
