/**
 * Notices when the machine's wall clock was set and when the machine slept. Pure.
 *
 * Three readings taken together: wall (may be set), monotonic (may stop in sleep), uptime (counts
 * sleep). Between two looks
 *   slept   = Δuptime − Δmono, when more than one and a half steps of the uptime clock and 1 s;
 *   stepped = Δwall − Δmono − slept, when more than 20 ms (after a sleep: more than 1 s, since the
 *             wall clock is then reset from a clock of whole seconds: what nobody is asked about is
 *             `resetMs`, by which that clock is known worse).
 * Smaller differences are the wall clock being slewed (at most some 1 ms per second) and rounding.
 */
export interface Readings {
  mono: number;
  wall: number;
  uptime: number;
}

interface Noticed {
  sleptMs: number;
  steppedMs: number;
  /** By how much the wall clock came out of a sleep otherwise, ms, where that is no step. */
  resetMs: number;
}

const STEP_MS = 20;
const STEP_AFTER_SLEEP_MS = 1000;
const SLEEP_MS = 1000;

export class MachineWatch {
  private before: Readings | null = null;
  /** uptime − mono as first seen: the uptime clock is coarse, so sleep is judged over all time. */
  private base = 0;

  constructor(private readonly uptimeStepMs: number) {}

  look(now: Readings): Noticed {
    const before = this.before;
    this.before = now;
    if (!before) {
      this.base = now.uptime - now.mono;
      return { sleptMs: 0, steppedMs: 0, resetMs: 0 };
    }
    let slept = now.uptime - now.mono - this.base;
    if (slept > SLEEP_MS + 1.5 * this.uptimeStepMs) this.base += slept;
    else {
      // the two clocks' rates differ by ppm: followed at that pace, never a jump
      const reach = 5e-4 * (now.mono - before.mono);
      this.base += Math.max(-reach, Math.min(reach, slept));
      slept = 0;
    }
    const jump = now.wall - before.wall - (now.mono - before.mono) - slept;
    const limit = slept > 0 ? STEP_AFTER_SLEEP_MS : STEP_MS + 1e-3 * (now.mono - before.mono);
    const stepped = Math.abs(jump) > limit;
    return {
      sleptMs: slept,
      steppedMs: stepped ? jump : 0,
      resetMs: slept > 0 && !stepped ? jump : 0,
    };
  }
}
