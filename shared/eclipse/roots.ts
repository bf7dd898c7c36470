/** Finding a zero of a smooth function between two points where its signs differ. */

const MAX_STEPS = 60;

/**
 * A zero of `f` in [a, b], good to `tolerance` in the argument; NaN when f(a) and f(b) have the
 * same sign. Ridders' method: keeps the zero bracketed and converges quadratically.
 * Source: C. Ridders, IEEE Transactions on Circuits and Systems 26 (1979) 979–980.
 */
export function zeroBetween(f: (t: number) => number, a: number, b: number, tolerance: number): number {
  let lo = a;
  let hi = b;
  let fLo = f(lo);
  let fHi = f(hi);
  if (fLo === 0) return lo;
  if (fHi === 0) return hi;
  if (fLo < 0 === fHi < 0 || Number.isNaN(fLo + fHi)) return Number.NaN;
  let last = Number.POSITIVE_INFINITY;
  for (let i = 0; i < MAX_STEPS; i++) {
    const mid = 0.5 * (lo + hi);
    const fMid = f(mid);
    const root = Math.sqrt(fMid * fMid - fLo * fHi);
    if (fMid === 0 || root === 0) return mid;
    const t = mid + ((mid - lo) * (fLo >= fHi ? 1 : -1) * fMid) / root;
    if (Math.abs(t - last) <= tolerance) return t;
    last = t;
    const ft = f(t);
    if (ft === 0) return t;
    if (fMid < 0 !== ft < 0) {
      [lo, fLo, hi, fHi] = t < mid ? [t, ft, mid, fMid] : [mid, fMid, t, ft];
    } else if (fLo < 0 !== ft < 0) {
      hi = t;
      fHi = ft;
    } else {
      lo = t;
      fLo = ft;
    }
    if (Math.abs(hi - lo) <= tolerance) return 0.5 * (lo + hi);
  }
  return last;
}
