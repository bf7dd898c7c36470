/**
 * The hub's eclipse clock: monotonic time plus an offset, corrected at announced rates.
 *
 * Time is cut into slots of SLEW_SLOT_MS. In a slot the rate of correction is constant, and it is
 * decided one slot ahead, so that every device knows of it before it begins (HubCourse). A
 * correction c is worked off with c/60 s, at most 500 ppm (the limit of a real run; also the slew
 * limit of common system clocks). Steps happen only when told. Pure: times are arguments.
 */
import { type HubCourse, SLEW_SLOT_MS } from "../../shared/sync/samples.ts";
import { type MonoMs, type UtcMs, utcMs } from "../../shared/time/instants.ts";

export const MAX_SLEW_PPM = 500;
const SETTLE_MS = 60_000;

export class Steering {
  private shift = 0;
  private slotFrom: number;
  private ppm = 0;
  private nextPpm = 0;
  /** UTC − monotonic without corrections. */
  private readonly offset: number;

  constructor(
    readonly epoch: string,
    mono: MonoMs,
    utc: UtcMs,
  ) {
    this.offset = utc - mono;
    this.slotFrom = mono;
  }

  utc(mono: MonoMs): UtcMs {
    return utcMs(mono + this.offset + this.shiftAt(mono));
  }

  course(mono: MonoMs): HubCourse {
    return {
      epoch: this.epoch,
      shiftMs: this.shiftAt(mono),
      slewPpm: this.ppm,
      untilUtcMs: this.slotFrom + SLEW_SLOT_MS * (1 + this.ppm * 1e-6) + this.offset + this.shift,
      thenPpm: this.nextPpm,
    };
  }

  /** Moves on to `mono`; `correctionMs` is what the clock lacks now (positive: it is slow). */
  advance(mono: MonoMs, correctionMs: number): void {
    if (mono < this.slotFrom + SLEW_SLOT_MS) return;
    while (mono >= this.slotFrom + SLEW_SLOT_MS) {
      this.shift += this.ppm * 1e-6 * SLEW_SLOT_MS;
      this.slotFrom += SLEW_SLOT_MS;
      this.ppm = this.nextPpm;
      // slots that passed without a look had no announced rate
      this.nextPpm = 0;
    }
    const left = correctionMs - this.ppm * 1e-6 * (this.slotFrom + SLEW_SLOT_MS - mono);
    const rate = (left / SETTLE_MS) * 1e6;
    this.nextPpm = Math.max(-MAX_SLEW_PPM, Math.min(MAX_SLEW_PPM, rate));
  }

  /** A step: the lead says "set now", or the machine slept. Slews under way end at once. */
  step(mono: MonoMs, byMs: number): void {
    this.shift = this.shiftAt(mono) + byMs;
    this.slotFrom = mono;
    this.ppm = 0;
    this.nextPpm = 0;
  }

  private shiftAt(mono: number): number {
    const inSlot = mono - this.slotFrom;
    const now = Math.min(inSlot, SLEW_SLOT_MS);
    const after = Math.min(Math.max(0, inSlot - SLEW_SLOT_MS), SLEW_SLOT_MS);
    return this.shift + (now * this.ppm + after * this.nextPpm) * 1e-6;
  }
}
