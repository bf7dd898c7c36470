/**
 * The line of a remote clock's offset from one-sided bounds.
 *
 * Model. Offset θ(x) = a + b·x over a window (x in s, θ in ms, so b in ms/s = 1000 ppm). Each poll
 * gives one upper point (θ ≤ u, its journey up) and one lower point (θ ≥ l, its journey down).
 * A line that is possible passes under all uppers and over all lowers: a corridor (compare Moon,
 * Skelly, Towsley 1999 and Zhang, Liu, Xia 2002, skew by convex bounds; from memory).
 * Each direction has a constant shortest journey plus an excess with a heavy tail, taken as Lomax
 * (shape 2, scale from the median excess). For a rate b the two floors touch the nearest points;
 * the likelihood of the excesses weighs the rates; estimate and spread are the mean and deviation
 * over rates and over the gap between floor and nearest point.
 * What no exchange can see is the difference of the two shortest journeys. It is at most half the
 * corridor's width, and so the bound is half the width plus a multiple of the spread.
 *
 * Neglects: curvature of θ inside the window (the caller adds wander and cuts the window when it
 * no longer fits).
 */
export interface Poll {
  /** Device time in s, from any zero. */
  upX: number;
  /** θ ≤ upY at upX, in ms. */
  upY: number;
  downX: number;
  /** θ ≥ downY at downX, in ms. */
  downY: number;
}

/** What is known of the rate beforehand, in ms/s; heavy-tailed about the centre. */
export interface RatePrior {
  centre: number;
  width: number;
}

export interface CorridorFit {
  /** Where x is zero, in s of device time. */
  x0: number;
  /** θ at x0, ms, and rate, ms/s. */
  offset: number;
  rate: number;
  /** Half the width of the corridor in ms: reach of the unseen asymmetry. */
  half: number;
  /** Variance of offset (ms²), of rate ((ms/s)²), and their covariance, at x0. */
  varOffset: number;
  varRate: number;
  covariance: number;
  /** Rates that remain possible, ms/s. */
  rateLow: number;
  rateHigh: number;
  polls: number;
  spanS: number;
}

/** Rates searched, in ms/s: ±500 ppm of the device against ±50 ppm of the hub. */
export const RATE_LIMIT = 0.55;
/** Rates looked at in each of three passes, ever closer. */
const GRID = [15, 15, 25];

/** Fits the corridor; null when no line is possible (width below −tolerance at every rate) or no poll. */
export function fitCorridor(
  polls: readonly Poll[],
  prior: RatePrior,
  toleranceMs: number,
): CorridorFit | null {
  const last = polls[polls.length - 1];
  if (!last) return null;
  const x0 = last.downX;
  const n = polls.length;
  const ux = polls.map((p) => p.upX - x0);
  const uy = polls.map((p) => p.upY);
  const lx = polls.map((p) => p.downX - x0);
  const ly = polls.map((p) => p.downY);
  const hullU = hull(ux, uy, 1);
  const hullL = hull(lx, ly, -1);
  const top = (b: number) => extreme(hullU, ux, uy, b, 1);
  const floor = (b: number) => extreme(hullL, lx, ly, b, -1);
  const width = (b: number) => top(b) - floor(b);

  const widest = climb(width, -RATE_LIMIT, RATE_LIMIT);
  if (width(widest) < -toleranceMs) return null;
  const low = edge((b) => width(b) >= -toleranceMs, widest, -RATE_LIMIT);
  const high = edge((b) => width(b) >= -toleranceMs, widest, RATE_LIMIT);

  // few polls show little of the excess: think of it as large as the corridor, less so with each poll
  const least = Math.max(0.02, Math.max(0, width(widest)) / (n * n));
  const scaleU = Math.max(least, excessScale(ux, uy, widest, top(widest), 1));
  const scaleL = Math.max(least, excessScale(lx, ly, widest, floor(widest), -1));
  const weigh = (b: number) => {
    const u = excessLikelihood(ux, uy, b, top(b), 1, scaleU);
    const l = excessLikelihood(lx, ly, b, floor(b), -1, scaleL);
    const z = (b - prior.centre) / prior.width;
    return { log: u.log + l.log - 2 * Math.log(1 + z * z), gapU: u.gap, gapL: l.gap };
  };

  // find where the weight lies, then look there closely
  let from = low;
  let to = high;
  let rows: { b: number; log: number; gapU: number; gapL: number }[] = [];
  for (const grid of GRID) {
    const step = (to - from) / (grid - 1);
    rows = [];
    for (let k = 0; k < grid; k++) rows.push({ b: from + k * step, ...weigh(from + k * step) });
    if (step === 0 || grid === GRID[2]) break;
    const best = Math.max(...rows.map((r) => r.log));
    const kept = rows.filter((r) => r.log > best - 12);
    from = Math.max(low, (kept[0]?.b ?? from) - step);
    to = Math.min(high, (kept[kept.length - 1]?.b ?? to) + step);
  }

  const best = Math.max(...rows.map((r) => r.log));
  let sum = 0;
  let sumA = 0;
  let sumB = 0;
  let sumAA = 0;
  let sumBB = 0;
  let sumAB = 0;
  let sumHalf = 0;
  let sumGap = 0;
  const bRef = widest;
  const aRef = (top(bRef) + floor(bRef)) / 2;
  for (const r of rows) {
    const p = Math.exp(r.log - best);
    const a = (top(r.b) - r.gapU + floor(r.b) + r.gapL) / 2 - aRef;
    const b = r.b - bRef;
    sum += p;
    sumA += p * a;
    sumB += p * b;
    sumAA += p * a * a;
    sumBB += p * b * b;
    sumAB += p * a * b;
    sumHalf += p * Math.max(0, width(r.b) / 2);
    sumGap += (p * (r.gapU * r.gapU + r.gapL * r.gapL)) / 4;
  }
  const a = sumA / sum;
  const b = sumB / sum;
  return {
    x0,
    offset: aRef + a,
    rate: bRef + b,
    half: sumHalf / sum,
    varOffset: Math.max(0, sumAA / sum - a * a) + sumGap / sum,
    varRate: Math.max(0, sumBB / sum - b * b),
    covariance: sumAB / sum - a * b,
    rateLow: from,
    rateHigh: to,
    polls: n,
    spanS: x0 - Math.min(polls[0]?.upX ?? x0, polls[0]?.downX ?? x0),
  };
}

/** Indices of the lower (side 1) or upper (side −1) convex hull; x need not be sorted. */
function hull(x: number[], y: number[], side: 1 | -1): number[] {
  const order = x.map((_, i) => i).sort((i, j) => at(x, i) - at(x, j) || side * (at(y, i) - at(y, j)));
  const out: number[] = [];
  for (const i of order) {
    while (out.length >= 2) {
      const q = out[out.length - 1] as number;
      const p = out[out.length - 2] as number;
      const turn =
        (at(x, q) - at(x, p)) * (at(y, i) - at(y, p)) - (at(y, q) - at(y, p)) * (at(x, i) - at(x, p));
      if (turn * side > 0) break;
      out.pop();
    }
    out.push(i);
  }
  return out;
}

const at = (v: readonly number[], i: number) => v[i] as number;

/** Intercept at x = 0 of the line of rate b that touches the hull. */
function extreme(indices: number[], x: number[], y: number[], b: number, side: 1 | -1): number {
  let best = Infinity;
  for (const i of indices) best = Math.min(best, side * (at(y, i) - b * at(x, i)));
  return side * best;
}

/** Scale of a Lomax of shape 2 from the median excess over the floor. */
function excessScale(x: number[], y: number[], b: number, c: number, side: 1 | -1): number {
  const e = y.map((v, i) => side * (v - b * at(x, i) - c)).sort((p, q) => p - q);
  const median = at(e, Math.floor(e.length / 2));
  return 2.4 * median;
}

/** Log likelihood of the excesses at rate b with the floor at c, and the mean gap under the nearest. */
function excessLikelihood(x: number[], y: number[], b: number, c: number, side: 1 | -1, scale: number) {
  let log = 0;
  let slope = 0;
  let product = 1;
  for (let i = 0; i < x.length; i++) {
    const e = Math.max(0, side * (at(y, i) - b * at(x, i) - c)) / scale + 1;
    slope += 1 / e;
    product *= e;
    // a logarithm of many factors at once: this is the innermost loop
    if (product > 1e250) {
      log += Math.log(product);
      product = 1;
    }
  }
  slope *= 3 / scale;
  return { log: -3 * (log + Math.log(product)) - Math.log(slope), gap: 1 / slope };
}

/** Where a concave function is greatest. */
function climb(f: (b: number) => number, low: number, high: number): number {
  let a = low;
  let d = high;
  for (let k = 0; k < 60; k++) {
    const p = a + (d - a) / 3;
    const q = d - (d - a) / 3;
    if (f(p) < f(q)) a = p;
    else d = q;
  }
  return (a + d) / 2;
}

/** Last place, going from a good one towards a limit, where it is still good. */
function edge(good: (b: number) => boolean, from: number, limit: number): number {
  if (good(limit)) return limit;
  let g = from;
  let bad = limit;
  for (let k = 0; k < 40; k++) {
    const mid = (g + bad) / 2;
    if (good(mid)) g = mid;
    else bad = mid;
  }
  return g;
}
