/**
 * The samples of the last minutes (ten at most), and the line through them.
 *
 * Exchanges of one burst are one poll: the best of each direction counts. The window is cut where
 * no line passes any more, or where the last polls lie off the earlier corridor: then a clock was
 * set or changed its rate, and only what came after it is of use.
 */
import type { MonoMs } from "../time/instants.ts";
import { type CorridorFit, fitCorridor, type Poll, type RatePrior } from "./offset-envelope.ts";
import { type ClockSample, sampleDelayMs } from "./samples.ts";

const [SHORTEST_MS, LONGEST_MS] = [120_000, 600_000];
/** How fast a rate changes as a phone warms up, ms/s per s: 3 ppm in eight minutes. */
const BEND = 3e-3 / 480;
const MAX_POLLS = 240;
/** Samples whose t1 lie this near to the first are one poll. */
const POLL_MS = 150;
/** The last polls that are held against the earlier ones, ms, and how often that is done. */
const RECENT_MS = 25_000;
const COMPARE_EVERY_MS = 3500;
/** How far off the earlier corridor counts as changed: in spreads, and in ms besides. */
const CHANGED_SPREADS = 6;
const CHANGED_MS = 0.2;
/** Wander of two crystals against each other, ms per s of age. Common practice: 1–3 ppm in the sun. */
const WANDER = 3e-3;
/** Most devices lie within 50 ppm; the rest is possible (RATE_LIMIT), the tails are heavy. */
const FREE_PRIOR: RatePrior = { centre: 0, width: 0.04 };

/** Offset hub − device: base + offset + rate·(x − x0), x in s of device time, in ms. */
export interface Line
  extends Pick<CorridorFit, "x0" | "offset" | "rate" | "half" | "varOffset" | "varRate" | "covariance"> {
  base: number;
  /** What the single exchanges prove: |error| ≤ reach at x0, growing with age by reachRate, ms per s. */
  reach: number;
  reachRate: number;
}

export function lineAtMs(line: Line, mono: number): number {
  return line.base + line.offset + line.rate * (mono / 1000 - line.x0);
}

/** Deviation of the line's offset at a device time, ms. */
export function lineSpreadMs(
  line: Pick<Line, "x0" | "varOffset" | "covariance" | "varRate">,
  mono: number,
): number {
  const x = mono / 1000 - line.x0;
  return Math.sqrt(Math.max(0, line.varOffset + 2 * x * line.covariance + x * x * line.varRate));
}

export class SampleWindow {
  private polls: (Poll & { t1: number; delay: number })[] = [];
  /** Subtracted from all offsets, to keep digits. */
  private base = 0;
  private prior = FREE_PRIOR;
  /** So long that the bend of the line stays under a tenth of the corridor's half (BEND·T²/12). */
  private lengthMs = LONGEST_MS;
  private compared = Number.NEGATIVE_INFINITY;
  private readonly resolution = new Resolution();
  /** How often a part was cut off. */
  cuts = 0;

  /** Step to which the device's clock is rounded, ms. */
  get resolutionMs(): number {
    return this.resolution.ms;
  }

  get size(): number {
    return this.polls.length;
  }

  /** Takes a sample (already checked); the hub's corrections `shiftMs` are taken off. */
  add(sample: ClockSample, shiftMs: number): void {
    const { t1, t2, t3, t4 } = sample;
    this.resolution.see(t1);
    this.resolution.see(t4);
    if (this.polls.length === 0) this.base = t2 - shiftMs - t1;
    const upY = t2 - shiftMs - t1 - this.base;
    // a clock that is cut off may have stood up to one step further when the answer came
    const downY = t3 - shiftMs - t4 - this.base - this.resolution.ms;
    const delay = sampleDelayMs(sample);
    const last = this.polls[this.polls.length - 1];
    if (last && t1 - last.t1 < POLL_MS) {
      last.delay = Math.min(last.delay, delay);
      if (upY < last.upY) Object.assign(last, { upX: t1 / 1000, upY });
      if (downY > last.downY) Object.assign(last, { downX: t4 / 1000, downY });
      return;
    }
    this.polls.push({ t1, delay, upX: t1 / 1000, upY, downX: t4 / 1000, downY });
    while ((this.polls[0] as { t1: number }).t1 < t1 - this.lengthMs || this.polls.length > MAX_POLLS)
      this.polls.shift();
  }

  /** Forgets the samples; the rate of the last line is remembered as likely. */
  restart(line: Pick<Line, "rate" | "varRate"> | null): void {
    if (line) this.prior = { centre: line.rate, width: Math.max(0.01, 3 * Math.sqrt(line.varRate)) };
    this.polls = [];
    this.compared = Number.NEGATIVE_INFINITY;
  }

  /** The line through the samples; null without samples. `rate` is the last line's. */
  fit(rate: number): Line | null {
    this.cutWhereClocksChanged(rate);
    let fit = this.fitFrom(0, this.prior);
    if (!fit && this.polls.length > 1) {
      // no line passes: keep the longest recent part that one passes
      let [bad, good] = [0, this.polls.length - 1];
      while (good - bad > 1) {
        const middle = (good + bad) >> 1;
        if (this.fitFrom(middle, FREE_PRIOR)) good = middle;
        else bad = middle;
      }
      // the first of these may still be from before, and only just fit
      this.cut(Math.min(good + 2, this.polls.length - 1), rate);
      fit = this.fitFrom(0, this.prior);
    }
    if (!fit) return null;
    // a line that just squeezes through makes the corridor look narrower than the journeys allow
    const journeys = (0.9 * Math.min(...this.polls.map((p) => p.delay))) / 2;
    const half = Math.max(fit.half, journeys);
    const lengthMs = 1000 * Math.sqrt((0.1 * half * 12) / BEND);
    this.lengthMs = Math.max(SHORTEST_MS, Math.min(LONGEST_MS, lengthMs));
    return { ...fit, half, base: this.base, ...this.reach(fit) };
  }

  /** Every exchange bounds the line by its own two journeys, and by the rates possible since then. */
  private reach({ x0, offset, rate, rateLow, rateHigh }: CorridorFit): Pick<Line, "reach" | "reachRate"> {
    const reachRate = Math.max(rateHigh - rate, rate - rateLow) + WANDER;
    let reach = Number.POSITIVE_INFINITY;
    for (const p of this.polls) {
      const over = p.upY - offset - rate * (p.upX - x0);
      const under = offset + rate * (p.downX - x0) - p.downY;
      reach = Math.min(reach, Math.max(over, under) + reachRate * (x0 - Math.min(p.upX, p.downX)));
    }
    return { reach, reachRate };
  }

  private fitFrom(from: number, prior: RatePrior, to = this.polls.length): CorridorFit | null {
    return fitCorridor(this.polls.slice(from, to), prior, 2 * this.resolution.ms);
  }

  private cut(from: number, rate: number): void {
    this.polls = this.polls.slice(from);
    this.prior = { centre: rate, width: FREE_PRIOR.width };
    this.cuts++;
  }

  /**
   * Where both floors of the last polls lie off the earlier corridor on the same side, a clock has
   * changed its rate. (A path that changed moves one of them, or both apart.)
   */
  private cutWhereClocksChanged(rate: number): void {
    const newest = this.polls[this.polls.length - 1];
    if (!newest || newest.t1 - this.compared < COMPARE_EVERY_MS) return;
    this.compared = newest.t1;
    const from = this.polls.findIndex((p) => p.t1 > newest.t1 - RECENT_MS);
    if (from < 10 || this.polls.length - from < 4) return;
    const old = this.fitFrom(0, this.prior, from);
    if (!old || old.spanS < 20) return;
    // at the earlier rate only: few polls fit a tilted line too well
    const recent = this.fitFrom(from, { centre: old.rate, width: 0.002 });
    if (!recent) return;
    const x = recent.x0 - old.x0;
    const middle = recent.offset - old.offset - old.rate * x;
    const upper = middle + recent.half - old.half;
    const lower = middle - recent.half + old.half;
    const spread = Math.hypot(Math.sqrt(recent.varOffset), lineSpreadMs(old, recent.x0 * 1000));
    const limit = CHANGED_SPREADS * spread + CHANGED_MS + this.resolution.ms + WANDER * x;
    if (upper * lower > 0 && Math.min(Math.abs(upper), Math.abs(lower)) > limit) this.cut(from, rate);
  }
}

/** Finds out to what step a clock is rounded (browsers coarsen theirs): 1, 0.1 or finer, in ms. */
class Resolution {
  ms = 0.1;
  private readonly seen: MonoMs[] = [];

  see(value: MonoMs): void {
    this.seen.push(value);
    if (this.seen.length > 16) this.seen.shift();
    const all = (step: number) =>
      this.seen.every((v) => Math.abs(v / step - Math.round(v / step)) < 2e-4 / step);
    this.ms = this.seen.length < 4 ? 0.1 : all(1) ? 1 : all(0.1) ? 0.1 : 0.01;
  }
}
