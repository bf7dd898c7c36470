/**
 * A device's idea of the hub's clock: four-timestamp samples in, time with a bound out.
 *
 * Model. The hub's UTC without its announced corrections (HubCourse) and the device's monotonic
 * clock both run at steady rates, within 550 ppm of each other, for some minutes. corridor.ts fits
 * the line between them, sample-window.ts chooses the samples, slew.ts smooths what is shown; this
 * file joins them and states the bound.
 *
 * boundMs covers: half the corridor's width (asymmetry no exchange can see) and a multiple of the
 * spread of the fit carried to the asked instant, or what single exchanges prove (half the least
 * delay, grown with age) where that is less; wander of both crystals with the age of the last
 * sample, the resolution of the device's clock, and what is still being slewed. It is against the
 * hub's timeline as last announced; utcBoundMs adds the hub's own bound, grown with age.
 *
 * Assumes that the hub does not step between samples (it tells, and `course` says by how much), and
 * that the monotonic clock runs on unless noteWake or noteSuspension says otherwise. A sudden change
 * of the device's rate shows at the next poll only. Pure: times are arguments.
 */
import { type MonoMs, monoMs, type UtcMs, utcMs } from "../time/instants.ts";
import { RATE_LIMIT } from "./offset-envelope.ts";
import { type Pace, type PaceContext, pollGapMs, RIG_PACE } from "./pace.ts";
import { type Line, lineAtMs, lineSpreadMs, SampleWindow } from "./sample-window.ts";
import { type ClockSample, courseShiftMs, type HubCourse, sampleDelayMs, sampleFault } from "./samples.ts";
import { Slew } from "./slew.ts";

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

interface NextProbe {
  /** When to send the burst; at once when not after the present. */
  atMono: MonoMs;
  /** Number of exchanges, BURST_GAP_MS apart. */
  burst: number;
}

/** Linked means: the last sample is not older than this. */
const LINKED_MS = 15_000;
/** Multiple of the spread that goes into the bound. */
const SPREADS = 3.5;
/**
 * Wander of two crystals against each other since the last sample, ms: 1 ppm that the window did not
 * show, and up to 3 ppm more as a phone warms or cools, with a time of eight minutes (common
 * practice: 1–3 ppm in the sun; a phone's heat capacity makes it slow).
 */
function wanderMs(ageS: number): number {
  return 1e-3 * ageS + 3e-3 * (ageS - WARMING_S * (1 - Math.exp(-ageS / WARMING_S)));
}
const WARMING_S = 480;
/** Growth of the bound with age while a clock has lately been seen to change its rate, ms per s. */
const UNREST = 0.5;
const UNREST_MS = 30_000;
/** Growth of the hub's own bound while not heard, ms per s (PHI of RFC 5905). */
const HUB_DRIFT = 15e-3;
/** Wall clock against monotonic: smaller changes are slews of the wall clock. */
const JUMP_MS = 100;
/** What a wall clock may do over a reload or a sleep: read to 1 ms, nudged and drifting meanwhile. */
const WALL_TRUST_MS = 25;
const WALL_DRIFT = 0.1; // ms per s: 100 ppm
const KEEP_MS = 12 * 3_600_000;
/** The samples of a burst are fitted together, this long after the last. */
const BURST_OVER_MS = 40;
/** From an hour's error to a thousandth of a ms by halves. */
const MONO_AT_ROUNDS = 32;

/** The line together with what the hub had said when it was fitted. */
interface View {
  line: Line;
  course: HubCourse | undefined;
  hubBoundMs: number;
  heardUtc: number;
  heardMono: number;
}

export class ClockFollower {
  private readonly window = new SampleWindow();
  private readonly slew = new Slew();
  private view: View | null = null;
  /** The last sample, when not yet fitted. */
  private fresh: Omit<View, "line"> | null = null;
  private epoch: string | undefined;
  /** Doubt added by suspensions and restarts until the next sample, ms, growing with WALL_DRIFT. */
  private doubtMs = 0;
  /** A jump of the wall clock nobody has explained yet, ms (part of the doubt). */
  private jumpMs = 0;
  private unrestUntil = Number.NEGATIVE_INFINITY;
  private joinedMono: number | null = null;
  private lastProbe = Number.NEGATIVE_INFINITY;
  private urgent = true;
  private wallMinusMono: number | null = null;
  private refused = 0;

  constructor(private readonly pace: Pace = RIG_PACE) {}

  /** Exchanges refused as impossible, and windows cut because they no longer fitted. */
  get counts(): { refused: number; cut: number } {
    return { refused: this.refused, cut: this.window.cuts };
  }

  /** Takes an exchange; false when it is impossible or tells nothing (samples.ts says why). */
  addSample(sample: ClockSample): boolean {
    if (sampleFault(sample)) {
      this.refused++;
      return false;
    }
    const { t1, t3, t4, course, hubBoundMs } = sample;
    const newEpoch = this.view !== null && course?.epoch !== this.epoch;
    if (newEpoch || (this.doubtMs > 0 && !this.fitsAsBefore(sample)))
      this.window.restart(this.view?.line ?? null);
    this.epoch = course?.epoch;
    this.window.add(sample, course?.shiftMs ?? 0);
    this.joinedMono ??= t1;
    this.lastProbe = Math.max(this.lastProbe, t1);
    if (sampleDelayMs(sample) < 1000) this.urgent = false;
    this.fresh = { course, hubBoundMs, heardUtc: t3, heardMono: t4 };
    if (!this.view || newEpoch || this.doubtMs > 0) this.refresh(t4);
    return true;
  }

  /** The time at a reading of the device's monotonic clock, or null when never synced. */
  read(mono: MonoMs): ClockReading | null {
    if (this.fresh && mono - this.fresh.heardMono >= BURST_OVER_MS) this.refresh(mono);
    const v = this.view;
    if (!v) return null;
    const ageMs = Math.max(0, mono - v.heardMono);
    const estimate = this.estimate(v, mono);
    const utc = this.slew.show(mono, estimate);
    const boundMs = this.bound(v, mono) + Math.abs(utc - estimate);
    return {
      utcMs: utcMs(utc),
      boundMs,
      utcBoundMs: boundMs + v.hubBoundMs + HUB_DRIFT * (ageMs / 1000),
      state: ageMs <= LINKED_MS && this.doubtMs === 0 ? "linked" : "holdover",
      ageMs,
      skewPpm: v.line.rate * 1000,
    };
  }

  /**
   * When read() will show an instant, as known at `mono`: what is still being run off is counted
   * in, so that something put there is on time in the middle of a correction, too. Null when never
   * synced.
   */
  monoAt(utc: UtcMs, mono: MonoMs): MonoMs | null {
    const v = this.view;
    if (!v) return null;
    const shownAt = (at: number) => this.estimate(v, at) + this.slew.leftMs(at);
    // Shown time runs at 0.5 to 1.05 of the device's: every round at least halves the error.
    let at: number = mono;
    for (let round = 0; round < MONO_AT_ROUNDS; round++) at += utc - shownAt(at);
    return monoMs(at);
  }

  /** When to send the next burst. Tell of each burst sent with noteProbe. */
  nextProbe(mono: MonoMs, context: PaceContext): NextProbe {
    const sinceJoin = this.joinedMono === null ? 0 : mono - this.joinedMono;
    let gap = pollGapMs(this.pace, sinceJoin, context);
    if (this.urgent) gap = Math.min(250, pollGapMs(this.pace, 0, context));
    else if (mono < this.unrestUntil) gap = Math.min(gap, 1000);
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
    const jump = this.wallJump(mono, wall);
    if (Math.abs(jump) < JUMP_MS) return 0;
    // a monotonic clock cannot have run ahead: backwards, only the wall clock was set
    if (jump > 0 && this.view) {
      this.refresh(mono);
      this.doubtMs += jump;
      this.jumpMs += jump;
    }
    this.requestBurst(mono);
    return jump;
  }

  /**
   * The program knows that it was suspended (frozen page, sleep). The wall clock says for how long
   * the monotonic clock stood still: the time is moved on by it, the bound widened. Returns ms moved.
   */
  noteSuspension(mono: MonoMs, wall: UtcMs): number {
    const jump = this.wallJump(mono, wall);
    this.requestBurst(mono);
    // the wall clock is read to whole ms
    if (jump <= 2 || !this.view) return 0;
    this.refresh(mono);
    this.window.restart(this.view.line);
    this.view.line.base += jump;
    this.view.heardMono -= jump;
    this.doubtMs += WALL_TRUST_MS + WALL_DRIFT * (jump / 1000);
    return jump;
  }

  /** Everything needed to go on after a reload, as JSON text; null when never synced. */
  export(mono: MonoMs, wall: UtcMs): string | null {
    this.refresh(mono);
    const v = this.view;
    if (!v) return null;
    return JSON.stringify({
      v: 1,
      wall,
      utc: this.estimate(v, mono),
      bound: this.bound(v, mono),
      age: Math.max(0, mono - v.heardMono),
      rate: v.line.rate,
      rateVar: v.line.varRate,
      hubBound: v.hubBoundMs,
      heardUtc: v.heardUtc,
      course: v.course,
    });
  }

  /**
   * Goes on from export() in a program whose monotonic clock starts anew: the wall clock bridges
   * the gap, and the bound says so. False (and nothing changed) when the text is not ours, when the
   * wall clock went back, after more than 12 h, or when already synced.
   */
  restore(text: string, mono: MonoMs, wall: UtcMs): boolean {
    const s = parseSaved(text);
    if (!s || this.view) return false;
    const gap = wall - s.wall;
    if (gap < -1 || gap > KEEP_MS) return false;
    const { rate, rateVar: varRate, bound: half, course, heardUtc, hubBound: hubBoundMs } = s;
    const utc = s.utc + gap * (1 + rate / 1000);
    const base = utc - courseShiftMs(course, heardUtc, utc) - mono;
    const line = {
      x0: mono / 1000,
      base,
      offset: 0,
      rate,
      half,
      varOffset: 0,
      varRate,
      covariance: 0,
      reach: Infinity,
      reachRate: 0,
    };
    this.view = { line, course, heardUtc, hubBoundMs, heardMono: mono - s.age - gap };
    this.epoch = course?.epoch;
    this.doubtMs = WALL_TRUST_MS + WALL_DRIFT * (Math.max(0, gap) / 1000);
    this.window.restart(line);
    this.wallMinusMono = wall - mono;
    this.requestBurst(mono);
    return true;
  }

  /** Fits the samples not yet fitted; what is shown slews from where it was. */
  private refresh(mono: number): void {
    const { fresh, view } = this;
    if (!fresh) return;
    this.fresh = null;
    const shown = view ? this.estimate(view, mono) + this.slew.leftMs(mono) : null;
    const { cuts } = this.window;
    const line = this.window.fit(view?.line.rate ?? 0);
    if (!line) return;
    if (this.window.cuts > cuts) this.unrestUntil = mono + UNREST_MS;
    this.view = { line, ...fresh };
    this.doubtMs = 0;
    this.jumpMs = 0;
    if (shown !== null) this.slew.change(mono, shown - this.estimate(this.view, mono));
  }

  /** After a jump of the wall clock: does a sample fit the line as if the device's clock had run on? */
  private fitsAsBefore(sample: ClockSample): boolean {
    const v = this.view;
    if (!v || this.jumpMs === 0) return false;
    const shift = sample.course?.shiftMs ?? 0;
    const reach = this.bound(v, sample.t4) - this.doubtMs;
    const upper = sample.t2 - shift - sample.t1 - lineAtMs(v.line, sample.t1);
    const lower = sample.t3 - shift - sample.t4 - lineAtMs(v.line, sample.t4);
    const fits = (ms: number) => lower <= ms + reach && upper >= ms - reach;
    return fits(0) && !fits(this.jumpMs);
  }

  /** The hub's UTC by the line, announced corrections added. */
  private estimate(v: View, mono: number): number {
    // a clock that is cut off to its resolution is half a step late on average
    const bare = mono + this.window.resolutionMs / 2 + lineAtMs(v.line, mono);
    return bare + courseShiftMs(v.course, v.heardUtc, bare + (v.course?.shiftMs ?? 0));
  }

  private bound(v: View, mono: number): number {
    const ageS = Math.max(0, mono - v.heardMono) / 1000;
    const wander = mono < this.unrestUntil ? UNREST * ageS : wanderMs(ageS);
    const doubt = this.doubtMs > 0 ? this.doubtMs + WALL_DRIFT * ageS : 0;
    const sinceS = Math.max(0, mono / 1000 - v.line.x0);
    const likely = v.line.half + SPREADS * lineSpreadMs(v.line, mono);
    const proven = v.line.reach + v.line.reachRate * sinceS;
    return Math.min(likely, proven) + wander + this.window.resolutionMs + doubt;
  }

  private wallJump(mono: number, wall: number): number {
    const now = wall - mono;
    const jump = this.wallMinusMono === null ? 0 : now - this.wallMinusMono;
    this.wallMinusMono = now;
    return jump;
  }
}

interface Saved {
  wall: number;
  utc: number;
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
  for (const key of ["wall", "utc", "bound", "age", "rate", "rateVar", "hubBound", "heardUtc"])
    if (!Number.isFinite(s[key])) return null;
  if (Math.abs(s.rate as number) > RATE_LIMIT) return null;
  return s as unknown as Saved;
}
