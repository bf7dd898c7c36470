/**
 * One press, one confirm. A shaking thumb or a remote that bounces fires twice within some
 * hundred ms, and after a confirm the button may already stand for the next cue: presses too
 * soon after the last one are dropped. Pure; times are monotonic ms.
 */

/** Longer than a bounce, shorter than two meant presses. Common practice, no source. */
export const GUARD_MS = 800;

export class ConfirmGuard {
  private lastMs = Number.NEGATIVE_INFINITY;
  private shownMs = Number.NEGATIVE_INFINITY;
  private shownKey: string | null = null;

  /** Told what the button stands for, whenever it is drawn. */
  show(key: string | null, atMs: number): void {
    if (key === this.shownKey) return;
    this.shownKey = key;
    this.shownMs = atMs;
  }

  /** Whether a press at this instant counts. A button that has just changed counts no press. */
  press(atMs: number): boolean {
    if (atMs - this.lastMs < GUARD_MS || atMs - this.shownMs < GUARD_MS / 2) return false;
    this.lastMs = atMs;
    return true;
  }
}
