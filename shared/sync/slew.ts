/**
 * What is shown of an estimate that changes: corrections are spread over time, never a step back.
 *
 * Small corrections run off at 5 % of time (1 ms in 20 ms); backward ones above 250 ms slow the
 * clock to half its rate; forward ones above 250 ms are taken at once. Only a hub that was set
 * back by more than half a minute makes a new beginning: waiting a minute and more for it would be
 * worse.
 */
const SLEW = 0.05;
const SLOWEST = 0.5;
const FORWARD_STEP_MS = 250;
export const BACK_STEP_MS = 30_000;

export class Slew {
  /** Shown − estimated, ms, at `from`. */
  private ms = 0;
  private from = 0;
  private last: { mono: number; utc: number } | null = null;

  /** The estimate changed at `mono`; `aheadMs` is what was shown less the new estimate. */
  change(mono: number, aheadMs: number): void {
    this.from = mono;
    this.ms = aheadMs < -FORWARD_STEP_MS ? 0 : aheadMs;
    if (aheadMs > BACK_STEP_MS) {
      this.ms = 0;
      this.last = null;
    }
  }

  /** Shown time for an estimate at `mono`; not less than any shown for an earlier one. */
  show(mono: number, estimate: number): number {
    let utc = estimate + this.leftMs(mono);
    if (this.last && mono < this.last.mono) return utc;
    if (this.last) utc = Math.max(utc, this.last.utc);
    this.last = { mono, utc };
    return utc;
  }

  /** What is still to be run off, ms. */
  leftMs(mono: number): number {
    const rate = this.ms > FORWARD_STEP_MS ? SLOWEST : SLEW;
    const run = rate * Math.max(0, mono - this.from);
    return Math.sign(this.ms) * Math.max(0, Math.abs(this.ms) - run);
  }
}
